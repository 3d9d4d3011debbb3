/* The tick counter: timer 1 at 16 MHz, its turns counted by an interrupt, extended to 64 bits. */
#ifndef CLOCK_H
#define CLOCK_H

#include <stdint.h>

#include "wire.h"

void clock_begin(void);

/* The whole tick at the last clock_now. */
extern struct tick clock_newest;

/* Return the low 32 bits of the tick. */
uint32_t clock_now(void);

/* Time in turns of the timer, 4.096 ms each, for what need not be exact. */
#define CLOCK_TURN_US 4096UL
extern uint16_t clock_turns;

/* Return whether the last clock_now had reached this tick, modulo 2^32. */
uint8_t clock_reached(uint32_t tick);

#endif
