/* The serial line: two frames' room towards the host, sent by polling; bytes from the host come by interrupt. */
#ifndef SERIAL_H
#define SERIAL_H

#include <avr/io.h>
#include <stdint.h>

#include "board.h"
#include "frames.h"

/* For 115,200, the boot loader's rate, which every board can do: 117,647, 2.1 % fast, as the boot loaders of this chip.
 * The other rates are exact. */
#define SERIAL_START 16

extern volatile uint8_t serial_received[SERIAL_RECEIVED], serial_head, serial_tail;
extern const uint8_t *volatile serial_next;

void serial_begin(void);

/* Return what stands for a rate, 0 if the line cannot take it. */
uint8_t serial_divisor(uint32_t rate);

/* Change the rate at once: whatever is on the line is spoilt. */
void serial_set(uint8_t divisor);

/* Return where the next frame can be written; none while two wait. */
uint8_t *serial_room(void);

/* Send what was written to serial_room. */
void serial_commit(uint8_t size);

/* Return whether every byte was handed to the line; the last two may still be on it. */
uint8_t serial_idle(void);

/* Take the next byte from the host; return whether there was one. */
uint8_t serial_take(uint8_t *byte);

void serial_push_byte(void);

/* Hand the line its next byte, if it is ready for one. Called often enough that it never waits for it. */
static inline void serial_push(void)
{
#ifndef FAULT_INTERRUPT_TRANSMIT
    if (serial_next && UCSR0A & 1 << UDRE0)
        serial_push_byte();
#endif
}

#endif
