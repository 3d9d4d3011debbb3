/* Interrupts as the chip has them: flags cleared one by one, flags that wait, and the time an interrupt takes. */
#include "board.h"

#include <simavr/sim_interrupts.h>
#include <simavr/sim_regbit.h>

#define TIFR1 0x36
#define OCF1B 2
#define PCIFR 0x3B
#define EIFR 0x3C
#define EIMSK 0x3D
#define PCICR 0x68
#define TIMSK1 0x6F

static void clear_written(avr_t *avr, avr_io_addr_t address, uint8_t ones)
{
    avr_int_table_t *table = &avr->interrupts;
    for (int n = 0; n < table->vector_count; n++) {
        avr_int_vector_t *vector = table->vector[n];
        if (vector->raised.reg == address && ones >> vector->raised.bit & 1) {
            avr_clear_interrupt(avr, vector);
            avr_regbit_clear(avr, vector->raised);
        }
    }
}

static void write_timer_flags(avr_t *avr, avr_io_addr_t address, uint8_t ones, void *param)
{
    struct board *board = param;
    if (!(board->workarounds & FLAGS_CLEAR_SINGLY)) {
        board->compare_flag = 0;
        board->tifr_write.c(avr, address, ones, board->tifr_write.param);
        return;
    }
    if (ones >> OCF1B & 1)
        board->compare_flag = 0;
    clear_written(avr, address, ones);
}

static void write_flags(avr_t *avr, avr_io_addr_t address, uint8_t ones, void *param)
{
    (void)param;
    clear_written(avr, address, ones);
}

static void write_enables(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
    (void)param;
    uint8_t before = avr->data[address];
    avr->data[address] = value;
    avr_int_table_t *table = &avr->interrupts;
    for (int n = 0; n < table->vector_count; n++) {
        avr_int_vector_t *vector = table->vector[n];
        if (vector->enable.reg != address || !((value & ~before) >> vector->enable.bit & 1))
            continue;
        if (avr_regbit_get(avr, vector->raised) && !vector->pending)
            avr_raise_interrupt(avr, vector);
    }
}

/* The response takes 4 cycles (data sheet, interrupt response time); whatever falls into them is due before the first
 * instruction of the vector. */
static void interrupt_runs(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct board *board = param;
    (void)irq;
    if (!value)
        return;
    board->avr->cycle += 4;
    board->avr->run_cycle_count = 1;
}

/* The emulator looks for matches when it has seen the turn, and passes over those before that. */
static void timer_turns(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct board *board = param;
    avr_timer_t *timer = board->timer;
    (void)irq;
    if (!value)
        return;
    uint64_t late = board->avr->cycle - (timer->tov_base + timer->tov_cycles);
    for (int n = 0; n < AVR_TIMER_COMPC; n++)
        if (timer->comp[n].comp_cycles && timer->comp[n].comp_cycles < late)
            avr_raise_interrupt(board->avr, &timer->comp[n].interrupt);
}

void flags_begin(struct board *board)
{
    avr_t *avr = board->avr;
    int io = AVR_DATA_TO_IO(TIFR1);
    board->tifr_write.c = avr->io[io].w.c;
    board->tifr_write.param = avr->io[io].w.param;
    avr->io[io].w.c = write_timer_flags;
    avr->io[io].w.param = board;
    if (board->workarounds & FLAGS_CLEAR_SINGLY) {
        avr_register_io_write(avr, EIFR, write_flags, board);
        avr_register_io_write(avr, PCIFR, write_flags, board);
    }
    if (board->workarounds & FLAGS_WAIT) {
        avr_register_io_write(avr, EIMSK, write_enables, board);
        avr_register_io_write(avr, PCICR, write_enables, board);
        avr_register_io_write(avr, TIMSK1, write_enables, board);
    }
    if (board->workarounds & MATCHES_AFTER_TURNS)
        avr_irq_register_notify(board->timer->overflow.irq + AVR_INT_IRQ_PENDING, timer_turns, board);
    if (!(board->workarounds & INTERRUPTS_TAKE_TIME))
        return;
    for (int n = 0; n < avr->interrupts.vector_count; n++)
        avr_irq_register_notify(avr->interrupts.vector[n]->irq + AVR_INT_IRQ_RUNNING, interrupt_runs, board);
}
