/* Faults that a test seeds, to see a driven lead go to rest all the same. Nothing of it is in the program as shipped. */
#ifndef FAULTS_H
#define FAULTS_H

#include <avr/interrupt.h>
#include <avr/io.h>

static inline void fault_at_ping(void)
{
#ifdef FAULT_CLOCK_STOPS
    TCCR1B = 0;
#endif
#ifdef FAULT_HANGS_DEAF
    cli();
#endif
#if defined FAULT_HANGS || defined FAULT_HANGS_DEAF
    for (;;)
        __asm__ volatile("");
#endif
}

#endif
