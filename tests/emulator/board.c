/* The board: its clock, its pins, its lists. */
#include "board.h"

#include <stdlib.h>
#include <string.h>

#include <simavr/sim_core_decl.h>
#include <simavr/sim_hex.h>
#include <simavr/sim_regbit.h>

void *list_add(struct list *list, size_t size)
{
    if (list->count == list->room) {
        list->room = list->room ? 2 * list->room : 256;
        list->items = realloc(list->items, list->room * size);
        if (!list->items)
            abort();
    }
    return (char *)list->items + size * list->count++;
}

static void log_edge(struct list *list, uint64_t cycle, uint32_t pin, uint32_t level)
{
    *(struct edge *)list_add(list, sizeof(struct edge)) = (struct edge){cycle, pin, level};
}

void pin_set(struct board *board, uint32_t pin, uint32_t level)
{
    if (board->levels[pin] == level)
        return;
    board->levels[pin] = (uint8_t)level;
    log_edge(&board->landed, board->avr->cycle, pin, level);
    avr_raise_irq(board->pins[pin], level);
    radio_move(board, pin, level);
}

/* Edges take effect between two instructions: what is logged is that cycle, not the one that was planned. */
static avr_cycle_count_t edge_due(avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    const struct edge *edges = board->planned.items;
    (void)when;
    while (board->next_edge < board->planned.count && edges[board->next_edge].cycle <= avr->cycle) {
        const struct edge *edge = &edges[board->next_edge++];
        pin_set(board, edge->pin, edge->level);
    }
    return board->next_edge < board->planned.count ? edges[board->next_edge].cycle : 0;
}

static void await_edges(struct board *board)
{
    if (board->next_edge == board->planned.count)
        return;
    uint64_t cycle = ((const struct edge *)board->planned.items)[board->next_edge].cycle;
    uint64_t now = board->avr->cycle;
    avr_cycle_timer_register(board->avr, cycle > now ? cycle - now : 1, edge_due, board);
}

static int earlier(const void *one, const void *other)
{
    uint64_t a = ((const struct edge *)one)->cycle, b = ((const struct edge *)other)->cycle;
    return a < b ? -1 : a > b;
}

void board_plan(struct board *board, const struct edge *edges, size_t count)
{
    struct list *list = &board->planned;
    size_t left = list->count - board->next_edge;
    if (board->next_edge) {
        memmove(list->items, (struct edge *)list->items + board->next_edge, left * sizeof *edges);
        list->count = left;
        board->next_edge = 0;
    }
    for (size_t n = 0; n < count; n++)
        log_edge(list, edges[n].cycle, edges[n].pin, edges[n].level);
    qsort(list->items, list->count, sizeof *edges, earlier);
    await_edges(board);
}

static avr_cycle_count_t wire_carries(avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    (void)avr;
    (void)when;
    pin_set(board, 2, board->wire_level);
    return 0;
}

void board_wire(struct board *board, uint64_t delay)
{
    board->wire_delay = delay;
}

static void driven(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct board *board = param;
    uint32_t pin = 8 + irq->irq;  /* of port B */
    if (!(board->avr->data[0x24] >> irq->irq & 1) || board->levels[pin] == (value & 1))
        return;
    board->levels[pin] = value & 1;
    log_edge(&board->driven, board->avr->cycle, pin, value & 1);
    if (pin == 9 && board->wire_delay) {
        board->wire_level = value & 1;
        avr_cycle_timer_register(board->avr, board->wire_delay, wire_carries, board);
    }
    radio_move(board, pin, value & 1);
}

static void watch_pull_ups(const struct port *port, uint8_t direction, uint8_t level)
{
    if (level & ~direction)
        port->board->pull_ups |= (uint8_t)(1 << port->bit);
}

/* A port's registers PIN, DDR and PORT follow one another. */
static void port_written(struct avr_irq_t *irq, uint32_t value, void *param)
{
    const struct port *port = param;
    (void)irq;
    watch_pull_ups(port, port->board->avr->data[0x24 + 3 * port->bit], (uint8_t)value);
}

static void direction_written(struct avr_irq_t *irq, uint32_t value, void *param)
{
    const struct port *port = param;
    (void)irq;
    watch_pull_ups(port, (uint8_t)value, port->board->avr->data[0x25 + 3 * port->bit]);
}

/* A reset makes every pin an input: what it drove is at rest. */
static void let_go(struct board *board, uint32_t pin)
{
    if (!board->levels[pin])
        return;
    board->levels[pin] = 0;
    log_edge(&board->driven, board->avr->cycle, pin, 0);
    radio_move(board, pin, 0);
}

static avr_irq_t *port_irq(struct board *board, char port, int number)
{
    return avr_io_getirq(board->avr, AVR_IOCTL_IOPORT_GETIRQ(port), number);
}

static void connect_pins(struct board *board)
{
    for (int pin = 0; pin < 14; pin++)
        board->pins[pin] = pin < 8 ? port_irq(board, 'D', pin) : port_irq(board, 'B', pin - 8);
    for (int pin = 8; pin < 14; pin++)
        avr_irq_register_notify(board->pins[pin], driven, board);
    for (int bit = 0; bit < 3; bit++) {
        board->ports[bit] = (struct port){board, bit};
        char name = (char)('B' + bit);
        avr_irq_register_notify(port_irq(board, name, IOPORT_IRQ_REG_PORT), port_written, &board->ports[bit]);
        avr_irq_register_notify(port_irq(board, name, IOPORT_IRQ_DIRECTION_ALL), direction_written, &board->ports[bit]);
    }
}

/* Everything that is due was forgotten with the emulator's timers, and every register was set to 0. */
static void after_reset(avr_t *avr)
{
    struct board *board = avr->custom.data;
    if (board->core_reset)
        board->core_reset(avr);
    avr->run_cycle_limit = board->workarounds & LONG_RUNS ? 1000 : 1;
    avr->data[0x54] |= board->reset_by;  /* MCUSR */
    board->reset_by = 0;
    for (int pin = 0; pin < 14; pin++) {
        if (pin >= 9)
            let_go(board, (uint32_t)pin);
        uint8_t mask = (uint8_t)(1 << (pin < 8 ? pin : pin - 8));
        if (board->levels[pin])
            avr->data[pin < 8 ? 0x29 : 0x23] |= mask;
    }
    line_reset(board);
    board->compare_flag = 0;
    if (board->wire_delay) {
        board->wire_level = 0;
        avr_cycle_timer_register(avr, board->wire_delay, wire_carries, board);
    }
    await_edges(board);
    radio_reset(board);
}

static void no_nap(avr_t *avr, avr_cycle_count_t cycles)
{
    (void)avr;
    (void)cycles;
}

static void *find_module(avr_t *avr, const char *kind, char name)
{
    for (avr_io_t *module = avr->io_port; module; module = module->next) {
        if (strcmp(module->kind, kind))
            continue;
        if (name == '1' && ((avr_timer_t *)module)->name != '1')
            continue;
        return module;
    }
    abort();
}

/* A small generator of its own, so that a seed gives the same RAM everywhere. */
static void fill_ram(struct board *board, uint32_t seed)
{
    uint64_t state = seed * 2654435761u + 1u;
    for (int at = 0x100; at <= board->avr->ramend; at++) {
        state = state * 6364136223846793005u + 1442695040888963407u;
        board->avr->data[at] = (uint8_t)(state >> 33);
    }
}

struct board *board_new(uint32_t seed, uint32_t workarounds)
{
    struct board *board = calloc(1, sizeof *board);
    avr_t *avr = avr_make_mcu_by_name("atmega328p");
    if (!board || !avr)
        return 0;
    board->avr = avr;
    board->workarounds = workarounds;
    avr_init(avr);
    avr->frequency = BOARD_HZ;
    avr->vcc = avr->avcc = avr->aref = 5000;
    avr->log = 0;
    avr->custom.data = board;
    board->timer = find_module(avr, "timer", '1');
    board->adc = find_module(avr, "adc", 0);
    board->uart = find_module(avr, "uart", 0);
    board->core_reset = avr->reset;
    avr->reset = after_reset;
    board->radio.moves = &board->moves;
    connect_pins(board);
    flags_begin(board);
    converter_begin(board);
    line_begin(board);
    if (workarounds & NO_NAPS)
        avr->sleep = no_nap;
    uint32_t nothing = 0;
    if (workarounds & NO_NAPS)
        avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &nothing);
    if (workarounds & RAM_OF_CHANCE)
        fill_ram(board, seed);
    board->reset_by = 1;  /* power */
    avr_reset(avr);
    return board;
}

void board_free(struct board *board)
{
    struct list *lists[] = {&board->planned, &board->landed, &board->driven, &board->moves,
                            &board->answers, &board->held,   &board->sent};
    for (size_t n = 0; n < sizeof lists / sizeof *lists; n++)
        free(lists[n]->items);
    for (int channel = 0; channel < 4; channel++)
        free(board->channels[channel].items);
    avr_terminate(board->avr);
    free(board->avr);
    free(board);
}

int board_load(struct board *board, const char *hex)
{
    ihex_chunk_p chunks = 0;
    int count = read_ihex_chunks(hex, &chunks);
    if (count <= 0)
        return 0;
    for (int n = 0; n < count; n++)
        avr_loadcode(board->avr, chunks[n].data, chunks[n].size, chunks[n].baseaddr);
    free_ihex_chunks(chunks);
    return 1;
}

void board_boot_at(struct board *board, uint32_t address)
{
    board->avr->reset_pc = address;
    board->avr->pc = address;
}

void board_reset(struct board *board)
{
    board->reset_by = 2;  /* the reset line */
    avr_reset(board->avr);
}

int board_run(struct board *board, uint64_t cycle)
{
    while (board->avr->cycle < cycle) {
        int state = avr_run(board->avr);
        board->looks++;
        if (state == cpu_Done || state == cpu_Crashed)
            return 0;
    }
    return 1;
}

uint64_t board_cycle(const struct board *board)
{
    return board->avr->cycle;
}

uint64_t board_turned(const struct board *board)
{
    return board->timer->tov_base;
}

static struct list *named(struct board *board, char name)
{
    switch (name) {
    case 'l': return &board->landed;
    case 'd': return &board->driven;
    case 'm': return &board->moves;
    case 'a': return &board->answers;
    case 'h': return &board->held;
    default: return &board->sent;
    }
}

const struct list *board_list(const struct board *board, char name)
{
    return named((struct board *)board, name);
}

void board_forget(struct board *board, char name)
{
    named(board, name)->count = 0;
}

uint64_t board_looks(const struct board *board)
{
    return board->looks;
}

int board_pull_ups(const struct board *board)
{
    return board->pull_ups;
}

uint8_t *board_ram(struct board *board)
{
    return board->avr->data;
}

uint8_t *board_flash(struct board *board)
{
    return board->avr->flash;
}
