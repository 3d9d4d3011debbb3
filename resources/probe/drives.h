/* Driven leads: the flip on D9, servo pulses on D10, the lamp on D13. All are low at rest. */
#ifndef DRIVES_H
#define DRIVES_H

#include <stdint.h>

#include "wire.h"

void drives_begin(void);

/* Each returns how it went. */
enum status drives_set(uint8_t lead, uint8_t level);
enum status drives_set_at(uint8_t lead, uint8_t level, uint32_t tick);
enum status drives_servo(uint8_t lead, uint32_t pulse_ns, uint32_t period_ns);
enum status drives_lamp(uint8_t lead, uint16_t duration_ms);

/* Bring every driven lead to rest and forget what was planned. */
void drives_rest(void);
uint8_t drives_at_rest(void);

/* The levels of the driven leads now, a bit a lead. */
uint16_t drives_levels(void);

/* Do what is due. Called over and over. */
void drives_poll(void);

#endif
