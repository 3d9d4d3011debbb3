/* The serial line as the chip has it: ten bits a byte, one byte waiting behind the one that is sent. */
#include "board.h"

#include <simavr/sim_interrupts.h>
#include <simavr/sim_regbit.h>

#define UCSR0B 0xC1
#define UBRR0L 0xC4
#define UDR0 0xC6

uint32_t board_baud(const struct board *board)
{
    uint64_t cycles = board->uart->cycles_per_byte;
    uint32_t bits = board->workarounds & BYTES_OF_10_BITS ? 10 : 11;
    return cycles ? (uint32_t)(bits * (uint64_t)BOARD_HZ / cycles) : 0;
}

/* What arrives of a byte: the ends hear each other up to 4 % apart. */
static uint8_t over_the_line(const struct board *board, uint8_t byte)
{
    uint32_t here = board_baud(board), there = board->host_baud ? board->host_baud : here;
    uint32_t apart = here > there ? here - there : there - here;
    return apart * 25ull > there ? (uint8_t)(byte * 37u + 0x5B) : byte;
}

static void leaves(struct board *board, uint8_t byte)
{
    struct sent *sent = list_add(&board->sent, sizeof *sent);
    *sent = (struct sent){board->avr->cycle, over_the_line(board, byte), 0};
}

static avr_cycle_count_t byte_sent(avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    leaves(board, board->shift);
    if (!board->buffered) {
        board->shifting = 0;
        avr_raise_interrupt(avr, &board->uart->txc);
        return 0;
    }
    board->shift = board->buffer;
    board->buffered = 0;
    avr_raise_interrupt(avr, &board->uart->udrc);
    return when + board->uart->cycles_per_byte;
}

static void data_register_full(struct board *board)
{
    avr_clear_interrupt(board->avr, &board->uart->udrc);
    avr_regbit_clear(board->avr, board->uart->udrc.raised);
}

static void write_byte(avr_t *avr, avr_io_addr_t address, uint8_t byte, void *param)
{
    struct board *board = param;
    (void)address;
    if (board->shifting) {
        board->buffered = 1;
        board->buffer = byte;
        data_register_full(board);
        return;
    }
    board->shifting = 1;
    board->shift = byte;
    avr_raise_interrupt(avr, &board->uart->udrc);  /* free again at once */
    avr_cycle_timer_register(avr, board->uart->cycles_per_byte, byte_sent, board);
}

static void write_rate(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
    struct board *board = param;
    board->ubrr_write.c(avr, address, value, board->ubrr_write.param);
    if (board->workarounds & BYTES_OF_10_BITS)
        board->uart->cycles_per_byte = board->uart->cycles_per_byte * 10 / 11;
}

/* The data register is full or free whatever is switched on: the emulator sets its flag with the interrupt, and clears
 * it with the transmitter. */
static void write_enables(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
    struct board *board = param;
    board->ucsrb_write.c(avr, address, value, board->ucsrb_write.param);
    if (board->buffered)
        data_register_full(board);
    else if (!avr_regbit_get(avr, board->uart->udrc.raised))
        avr_raise_interrupt(avr, &board->uart->udrc);
}

static void emulator_sends(struct avr_irq_t *irq, uint32_t value, void *param)
{
    (void)irq;
    leaves(param, (uint8_t)value);
}

static avr_cycle_count_t byte_comes(avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    (void)avr;
    if (!board->heard_count) {
        board->feeding = 0;
        return 0;
    }
    uint8_t byte = board->heard[board->heard_first];
    board->heard_first = (board->heard_first + 1) % sizeof board->heard;
    board->heard_count--;
    avr_raise_irq(board->uart->io.irq + UART_IRQ_INPUT, over_the_line(board, byte));
    uint32_t baud = board->host_baud ? board->host_baud : board_baud(board);
    return when + (10ull * BOARD_HZ + baud - 1) / baud;
}

size_t board_hear(struct board *board, const uint8_t *bytes, size_t count)
{
    size_t room = sizeof board->heard - board->heard_count, n;
    for (n = 0; n < count && n < room; n++)
        board->heard[(board->heard_first + board->heard_count++) % sizeof board->heard] = bytes[n];
    if (!board->feeding && board->heard_count) {
        board->feeding = 1;
        avr_cycle_timer_register(board->avr, 1, byte_comes, board);
    }
    return n;
}

void board_host_baud(struct board *board, uint32_t baud)
{
    board->host_baud = baud;
}

/* Bytes on their way are gone. */
void line_reset(struct board *board)
{
    board->shifting = board->buffered = board->feeding = 0;
    board->heard_count = 0;
}

static void take_over(struct board *board, int address, avr_io_write_t own, avr_io_write_t *before, void **param)
{
    avr_t *avr = board->avr;
    int io = AVR_DATA_TO_IO(address);
    *before = avr->io[io].w.c;
    *param = avr->io[io].w.param;
    avr->io[io].w.c = own;
    avr->io[io].w.param = board;
}

void line_begin(struct board *board)
{
    take_over(board, UBRR0L, write_rate, &board->ubrr_write.c, &board->ubrr_write.param);
    if (board->workarounds & LINE_BUFFERS) {
        take_over(board, UDR0, write_byte, &board->udr_write.c, &board->udr_write.param);
        take_over(board, UCSR0B, write_enables, &board->ucsrb_write.c, &board->ucsrb_write.param);
    } else {
        avr_irq_register_notify(board->uart->io.irq + UART_IRQ_OUTPUT, emulator_sends, board);
    }
}
