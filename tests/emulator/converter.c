/* The converter as the chip has it: started by timer 1's compare B, holding the voltage at one instant. */
#include "board.h"

#include <simavr/sim_interrupts.h>

#define ADCL 0x78
#define ADCSRA 0x7A
#define ADCSRB 0x7B
#define ADMUX 0x7C
#define ADEN 0x80
#define ADSC 0x40
#define ADATE 0x20
#define ADIF 0x10
#define COMPARE_B 5  /* as a source of triggers */
#define FULL_UV 5000000u

uint32_t voltage_uv(const struct board *board, uint32_t channel, uint64_t cycle)
{
    const struct list *list = &board->channels[channel];
    const struct point *points = list->items;
    size_t low = 0, high = list->count;
    if (!list->count)
        return 0;
    while (high - low > 1) {
        size_t middle = (low + high) / 2;
        *(points[middle].cycle <= cycle ? &low : &high) = middle;
    }
    if (high == list->count || cycle <= points[low].cycle)
        return points[low].uv;
    int64_t span = (int64_t)points[high].uv - (int64_t)points[low].uv;
    int64_t part = (int64_t)(cycle - points[low].cycle), whole = (int64_t)(points[high].cycle - points[low].cycle);
    return (uint32_t)((int64_t)points[low].uv + span * part / whole);
}

static uint32_t counts_of(uint32_t uv)
{
    uint64_t counts = (uint64_t)uv * 1024 / FULL_UV;
    return counts > 1023 ? 1023 : (uint32_t)counts;
}

static avr_cycle_count_t hold(avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    (void)avr;
    board->held_uv = voltage_uv(board, board->held_channel, when);
    struct held *held = list_add(&board->held, sizeof *held);
    *held = (struct held){when, board->held_channel, counts_of(board->held_uv)};
    return 0;
}

/* The sample is held two converter clocks after the trigger, which takes three cycles to come through; 13.5 of them in
 * the first conversion after switching on (data sheet, converter timing). */
static void compare_matched(struct avr_irq_t *irq, uint32_t value, void *param)
{
    struct board *board = param;
    avr_t *avr = board->avr;
    (void)irq;
    if (!value || board->compare_flag)
        return;
    board->compare_flag = 1;
    uint8_t control = avr->data[ADCSRA];
    if ((control & (ADEN | ADATE | ADSC)) != (ADEN | ADATE) || (avr->data[ADCSRB] & 7) != COMPARE_B)
        return;
    uint64_t flag = board->timer->tov_base + board->timer->comp[AVR_TIMER_COMPB].comp_cycles;
    if (flag + 0x8000 < avr->cycle)
        flag += 0x10000;  /* a match that came with the turn */
    uint64_t clock = 1u << (control & 7);
    uint64_t held = flag + 3 + (board->adc->first ? clock * 27 / 2 : clock * 2);
    board->held_channel = avr->data[ADMUX] & 3;
    avr_raise_irq(board->adc->io.irq + ADC_IRQ_IN_TRIGGER, 1);
    avr_cycle_timer_register(avr, held - avr->cycle, hold, board);
}

static void write_control(avr_t *avr, avr_io_addr_t address, uint8_t value, void *param)
{
    struct board *board = param;
    if (board->workarounds & CONVERSIONS_END) {
        uint8_t flag = avr->data[address] & (uint8_t)~value & ADIF;
        value = (uint8_t)((value & ~ADIF) | flag);
    }
    board->adcsra_write.c(avr, address, value, board->adcsra_write.param);
}

/* The emulator makes counts of millivolts when the low byte is read: hand it those that give what was held. */
static uint8_t read_low(avr_t *avr, avr_io_addr_t address, void *param)
{
    struct board *board = param;
    uint8_t channel = avr->data[ADMUX] & 3;
    uint32_t uv = board->workarounds & SAMPLES_HOLD ? board->held_uv : voltage_uv(board, channel, avr->cycle);
    uint32_t millivolts = uv / 1000;
    if (board->workarounds & COUNTS_OF_1024)
        millivolts = (counts_of(uv) * 5000 + 1022) / 1023;
    board->adc->adc_values[channel] = (uint16_t)millivolts;
    return board->adcl_read(avr, address, board->adcl_param);
}

void converter_begin(struct board *board)
{
    avr_t *avr = board->avr;
    if (board->workarounds & CONVERSIONS_TRIGGER)
        avr_irq_register_notify(board->timer->comp[AVR_TIMER_COMPB].interrupt.irq + AVR_INT_IRQ_PENDING, compare_matched,
                                board);
    int io = AVR_DATA_TO_IO(ADCSRA);
    board->adcsra_write.c = avr->io[io].w.c;
    board->adcsra_write.param = avr->io[io].w.param;
    avr->io[io].w.c = write_control;
    avr->io[io].w.param = board;
    io = AVR_DATA_TO_IO(ADCL);
    board->adcl_read = avr->io[io].r.c;
    board->adcl_param = avr->io[io].r.param;
    avr->io[io].r.c = read_low;
    avr->io[io].r.param = board;
}

void board_level(struct board *board, uint32_t channel, const struct point *points, size_t count)
{
    struct list *list = &board->channels[channel & 3];
    list->count = 0;
    for (size_t n = 0; n < count; n++)
        *(struct point *)list_add(list, sizeof *points) = points[n];
}
