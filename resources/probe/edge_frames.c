#include "edge_frames.h"

#include "board.h"
#include "clock.h"

#define FLUSH_AFTER (7 * TICKS_A_MS / 2)
#define ENOUGH 8

static struct edges frames[2];
static struct edges *filling = &frames[0];
static struct edge_record *next = frames[0].records;
static uint8_t filled, sealed;  /* how many in the frame being filled; how many wait in the other */

static struct edges *other(void)
{
    return filling == &frames[0] ? &frames[1] : &frames[0];
}

void edge_frames_start(void)
{
    filled = sealed = 0;
    next = filling->records;
}

static uint8_t seal(void)
{
    if (sealed || !filled)
        return 0;
    sealed = filled;
    filled = 0;
    filling = other();
    next = filling->records;
    return 1;
}

uint8_t edge_frames_room(uint8_t edges)
{
    return filled + edges <= EDGES_MAX || seal();
}

void edge_frames_add(uint8_t tag, uint32_t tick)
{
    next->tag = tag;
    next->tick = tick;
    next++;
    filled++;
}

uint8_t edge_frames_due(uint8_t line_free)
{
    if (!sealed && (filled == EDGES_MAX || (filled >= ENOUGH && line_free) ||
                    (filled && clock_reached(filling->records->tick + FLUSH_AFTER))))
        seal();
    return sealed != 0;
}

struct edges *edge_frames_take(uint8_t *count)
{
    *count = sealed;
    return other();
}

void edge_frames_sent(void)
{
    sealed = 0;
}
