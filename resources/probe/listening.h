/* Which edge leads interrupt: those that are recorded and not muted. */
#ifndef LISTENING_H
#define LISTENING_H

#include <stdint.h>

#include "board.h"

/* Edge leads as bits of a byte; lead n is bit n. */
#define BIT_OUTPUT (1 << LEAD_OUTPUT)
#define BIT_SWITCH (1 << LEAD_SWITCH)
#define BIT_MODULE (1 << LEAD_MODULE)
#define BITS_SPARE (0x0F << LEAD_SPARE)
#define BITS_ALL 0x7F
#define EDGE_LEADS 7

extern uint8_t listening_heard;   /* recorded and not muted */
extern uint8_t listening_levels;  /* the level each stands at, as far as its edges were told */

/* Return the bit of an edge lead. */
uint8_t listening_bit(uint8_t lead);

void listening_begin(void);

/* Listen to these leads, from the levels they stand at now. */
void listening_start(uint8_t leads);

/* Switch every interrupt off. What they put into the ring still counts as heard. */
void listening_deaf(void);

/* Mute leads, or listen to them again from the level they stand at. */
void listening_mute(uint8_t leads, uint8_t on);

/* Return the levels of the edge leads' pins. */
uint8_t listening_pins(void);

#endif
