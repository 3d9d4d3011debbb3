/* Runs before anything in RAM is set. */

#include <avr/io.h>

#include "frames.h"
#include "identity.h"
#include "watchdog.h"

uint32_t identity_start_id __attribute__((section(".noinit")));

/* The start id is made of two checks over the whole RAM: after power-up hundreds of its bits are chance; after a mere
 * reset it holds what the last run left, its own start id included. */
void start_mix(void) __attribute__((naked, used, section(".init3")));
void start_mix(void)
{
    watchdog_begin();
    uint16_t one = CRC_START, other = CRC_START;
    for (const uint8_t *at = (const uint8_t *)RAMSTART; at <= (const uint8_t *)RAMEND; at++) {
        one = crc_add(one, *at);
        other = crc_add(other, (uint8_t)(*at + (uint8_t)one));
    }
    identity_start_id = (uint32_t)other << 16 | one;
}
