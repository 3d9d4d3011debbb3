/* A radio that closes the loop: the control's pin in, servo pulses on D8 out, a frame at a time. */
#include "board.h"

#define OUTPUT 8

/* The level of the control at a cycle: its last move up to then. */
static uint32_t stood(const struct board *board, uint64_t cycle)
{
    const struct edge *moves = board->moves.items;
    for (size_t n = board->moves.count; n--;)
        if (moves[n].cycle <= cycle)
            return moves[n].level;
    return 0;
}

static uint32_t width_of(const struct board *board, uint64_t cycle)
{
    const struct radio *radio = &board->radio;
    uint64_t then = cycle > radio->delay ? cycle - radio->delay : 0;
    if (radio->control != STICK)
        return radio->pulse[stood(board, then)];
    int64_t span = (int64_t)radio->pulse[1] - (int64_t)radio->pulse[0];
    return (uint32_t)((int64_t)radio->pulse[0] + span * voltage_uv(board, 0, then) / 5000000);
}

static avr_cycle_count_t pulse_edge(avr_t *avr, avr_cycle_count_t when, void *param)
{
    struct board *board = param;
    struct radio *radio = &board->radio;
    if (!radio->frame)
        return 0;
    radio->level = !radio->level;
    if (radio->level)
        radio->width = width_of(board, when);
    pin_set(board, OUTPUT, radio->level);
    *(struct edge *)list_add(&board->answers, sizeof(struct edge)) = (struct edge){avr->cycle, OUTPUT, radio->level};
    radio->next = radio->level ? when + radio->width : when - radio->width + radio->frame;
    return radio->next;
}

void radio_move(struct board *board, uint32_t pin, uint32_t level)
{
    const struct radio *radio = &board->radio;
    if (!radio->frame || (pin != radio->control && !(radio->control == ANY_CONTROL && (pin == 2 || pin == 9))))
        return;
    *(struct edge *)list_add(&board->moves, sizeof(struct edge)) = (struct edge){board->avr->cycle, pin, level};
}

/* The radio knows nothing of the board's resets. */
void radio_reset(struct board *board)
{
    uint64_t now = board->avr->cycle;
    if (!board->radio.frame)
        return;
    avr_cycle_timer_register(board->avr, board->radio.next > now ? board->radio.next - now : 1, pulse_edge, board);
}

void board_radio(struct board *board, uint64_t frame, uint64_t phase, uint64_t delay, uint32_t low, uint32_t high,
                 uint32_t control)
{
    struct radio *radio = &board->radio;
    radio->frame = frame;
    radio->phase = phase;
    radio->delay = delay;
    radio->pulse[0] = low;
    radio->pulse[1] = high;
    radio->control = control;
    radio->level = 0;
    radio->next = (board->avr->cycle / frame + 1) * frame + phase % frame;
    radio_reset(board);
}
