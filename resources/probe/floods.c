#include "floods.h"

#include <avr/interrupt.h>
#include <string.h>

#include "account.h"
#include "clock.h"
#include "listening.h"
#include "ring.h"

/* 25 ms with more than 125 edges, twice in a row: a serial output, not servo pulses or a pulse train. */
#define WINDOW (25000 / CLOCK_TURN_US)
#define MOST_EDGES 125

/* Edges of each lead in this window; after them, what the spare leads lost together. */
static uint8_t activity[EDGE_LEADS + 1];
static uint8_t flooded;  /* leads over the limit in the last window */
static uint16_t window;

static void forget(void)
{
    memset(activity, 0, sizeof activity);
    window = clock_turns;
}

void floods_start(void)
{
    cli();
    ring_forgive();
    sei();
    flooded = 0;
    forget();
}

void floods_busy(uint8_t lead, uint8_t edges)
{
    uint8_t sum = (uint8_t)(activity[lead] + edges);
    activity[lead] = sum < edges ? 255 : sum;
}

static uint8_t busiest_spare(void)
{
    uint8_t busiest = LEAD_SPARE;
    for (uint8_t lead = LEAD_SPARE + 1; lead < LEAD_SPARE + SPARES; lead++)
        if (activity[lead] > activity[busiest])
            busiest = lead;
    return busiest;
}

static uint8_t losses_of(uint8_t source)
{
    cli();
    uint8_t lost = ring_losses[source];
    ring_losses[source] = 0;
    sei();
    return lost;
}

static void count_losses(void)
{
    static const uint8_t counted_as[SOURCES] = {LEAD_SWITCH, LEAD_MODULE, EDGE_LEADS, LEAD_OUTPUT};
    static const uint8_t leads[SOURCES] = {BIT_SWITCH, BIT_MODULE, BITS_SPARE, BIT_OUTPUT};
    for (uint8_t source = 0; source < SOURCES; source++) {
        uint8_t lost = losses_of(source);
        account.lost += lost;
        floods_busy(counted_as[source], lost);
        if (lost == STORM)  /* its handler has switched itself off, or nothing else would ever run */
            listening_mute(leads[source], 1);
    }
}

static void close_window(void)
{
    uint8_t over = 0;
    floods_busy(busiest_spare(), activity[EDGE_LEADS]);
    for (uint8_t lead = EDGE_LEADS; lead--;)
        over = (uint8_t)(over << 1 | (activity[lead] > MOST_EDGES));
    listening_mute(over & flooded, 1);
    forget();
    flooded = over;
}

void floods_poll(void)
{
    if (ring_losses[0] | ring_losses[1] | ring_losses[2] | ring_losses[3])
        count_losses();
    if ((uint16_t)(clock_turns - window) >= WINDOW)
        close_window();
}
