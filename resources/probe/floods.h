/* Leads that bring more than the board can tell: what was lost is counted, and who floods is muted. */
#ifndef FLOODS_H
#define FLOODS_H

#include <stdint.h>

void floods_start(void);

/* Count edges of a lead. */
void floods_busy(uint8_t lead, uint8_t edges);

/* Count what the handlers lost, and mute who floods. */
void floods_poll(void);

#endif
