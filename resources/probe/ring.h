/* The main loop's end of the ring that the handlers fill. Head and tail live in registers 2 and 9. */
#ifndef RING_H
#define RING_H

#include <stdint.h>

#include "board.h"

/* How many records each source lost since the main loop last looked; at STORM its handler has switched itself off. */
extern volatile uint8_t ring_losses[SOURCES];

/* Drive pins, stamped: the pins of the mask `pin` become those of `pins`. */
void ring_drive(uint8_t pin, uint8_t pins, uint8_t mark);

static inline void ring_begin(void)
{
    __asm__ volatile("clr r2\n\tclr r8\n\tclr r9");
}

static inline uint8_t ring_head(void)
{
    uint8_t head;
    __asm__ volatile("mov %0, r2" : "=r"(head));
    return head;
}

static inline uint8_t ring_tail(void)
{
    uint8_t tail;
    __asm__ volatile("mov %0, r9" : "=r"(tail));
    return tail;
}

static inline void ring_set_tail(uint8_t tail)
{
    __asm__ volatile("mov r9, %0" : : "r"(tail) : "memory");
}

/* Forget every loss not yet told. With interrupts off. */
static inline void ring_forgive(void)
{
    __asm__ volatile("clr r8");
    for (uint8_t source = 0; source < SOURCES; source++)
        ring_losses[source] = 0;
}

#define RING_LOW ((uint8_t *)RING)
#define RING_HIGH ((uint8_t *)(RING + 0x100))

static inline uint32_t ring_tick(uint8_t at)
{
    return (uint32_t)RING_HIGH[at + 1] << 16 | (uint16_t)(RING_HIGH[at] << 8 | RING_LOW[at + 1]);
}

#endif
