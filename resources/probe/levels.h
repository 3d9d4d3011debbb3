/* Level leads: A0 to A3 in turn, each conversion started by timer 1's compare B at an exact tick. */
#ifndef LEVELS_H
#define LEVELS_H

#include <stdint.h>

#include "wire.h"

void levels_begin(void);

/* Record the leads of the mask, so many samples a second each, as far as the converter's 1,000 go round; 0 none. */
void levels_start(uint16_t leads, uint16_t rate);
void levels_stop(void);
void levels_mute(uint8_t lead, uint8_t on);

/* Fetch a finished conversion. Called at least once a millisecond. */
void levels_poll(void);

/* Fill in the next level samples to send; return how many, 0 if none are due. */
uint8_t levels_take(struct level_samples *samples);

#endif
