/* The interrupt handlers. They only put a mark and 24 bits of tick into the ring; the main loop does all the rest: it
 * sorts, tells who moved, and encodes. A handler compiled from C would save registers before it could read the counter; these
 * read it first, 0 to 10 ticks late at a bench's load.
 *
 * Registers 2 to 4 and 6 to 10 belong to them alone: every C file is compiled without (-ffixed), and the build looks that
 * no library function uses them. A handler runs to its end, so what it must keep can lie in registers. It takes 49
 * cycles (62 for the capture; 6 more where the timer turns over), response and return included: that is how late the
 * next one can be.
 */
#define __SFR_OFFSET 0
#include <avr/io.h>
#include "board.h"

#define HEAD r2     /* index of the slot to fill */
#define FLAGS r3    /* the status register of what was interrupted */
#define HIGH r4     /* the middle byte of the tick */
#define KEEP_ZL r6  /* and r7 */
#define LOST r8     /* sources that lost records since their last one, a bit each; bit 7: any since the last record */
#define TAIL r9     /* index of the oldest slot, or HEAD */
#define BYTE r10    /* a byte received */

#define TURNS GPIOR0  /* turns of the timer, the third byte of a tick */
#define KEEP_A GPIOR1
#define KEEP_B GPIOR2
#define PAGE (RING >> 8)

        .section .bss
        .global ring_losses
ring_losses:
        .skip SOURCES

        .text

/* What every handler of an edge ends with: put mark (r25) and tick (r24, HIGH, TURNS) into the ring, and return. */
store:
        mov     r30, HEAD
        ldi     r31, PAGE
        tst     LOST
        brne    .Lafter_loss
1:      st      Z, r25
        std     Z+1, r24
        in      r24, TURNS
#ifndef FAULT_NO_OVERFLOW_TEST
        sbic    TIFR1, TOV1
        rjmp    .Lturning
#endif
2:      inc     r31
        st      Z, HIGH
        std     Z+1, r24
        subi    r30, -RING_STEP
        cp      r30, TAIL
        breq    .Lfull
        mov     HEAD, r30
.Lleave: movw    r30, KEEP_ZL
        in      r25, KEEP_B
        in      r24, KEEP_A
        out     SREG, FLAGS
        reti

.Lturning:                      /* the timer has turned but was not counted yet: before the turn the tick is high */
        sbrs    HIGH, 7
        inc     r24
        rjmp    2b

.Lafter_loss:                   /* say so in this record, if it has room itself */
        mov     r31, HEAD
        subi    r31, -RING_STEP
        cp      r31, TAIL
        breq    .Lfull
        sbrc    LOST, 7
        ori     r25, MARK_ANY_LOST
        rcall   bit_of_source
        mov     r31, r30
        and     r31, LOST
        breq    3f
        ori     r25, MARK_LOST
3:      com     r30
        andi    r30, 0x7F
        and     LOST, r30
        mov     r30, HEAD
        ldi     r31, PAGE
        rjmp    1b

.Lfull: rcall   bit_of_source
        ori     r30, 0x80
        or      LOST, r30
        mov     r30, r25
        andi    r30, MARK_SOURCE
        clr     r31
        subi    r30, lo8(-(ring_losses))
        sbci    r31, hi8(-(ring_losses))
        ld      r24, Z
        cpi     r24, STORM
        breq    .Lleave
        inc     r24
        st      Z, r24
        cpi     r24, STORM
        brne    .Lleave
        sbrc    r25, 1          /* a storm: switch this source off */
        rjmp    4f
        sbrs    r25, 0
        cbi     EIMSK, INT0
        sbrc    r25, 0
        cbi     EIMSK, INT1
        rjmp    .Lleave
4:      sbrc    r25, 0
        rjmp    5f
        clr     r24
        sts     PCICR, r24
        rjmp    .Lleave
5:      lds     r24, TIMSK1
        andi    r24, 0xFF & ~(1 << ICIE1)
        sts     TIMSK1, r24
        rjmp    .Lleave

bit_of_source:                  /* r30 = 1 << source of the mark */
        ldi     r30, 1
        sbrc    r25, 1
        ldi     r30, 4
        sbrc    r25, 0
        lsl     r30
        ret

        .global INT0_vect
INT0_vect:
        out     KEEP_A, r24
        lds     r24, TCNT1L     /* 8 cycles after the edge: the bias of this lead */
        out     KEEP_B, r25
        in      r25, PIND
        in      FLAGS, SREG
        movw    KEEP_ZL, r30
        lds     HIGH, TCNT1H
        andi    r25, 1 << PIN_SWITCH
        swap    r25
        rjmp    store           /* source 0 */

        .global INT1_vect
INT1_vect:
        out     KEEP_A, r24
        lds     r24, TCNT1L
        out     KEEP_B, r25
        in      r25, PIND
        in      FLAGS, SREG
        movw    KEEP_ZL, r30
        lds     HIGH, TCNT1H
        lsr     r25
        andi    r25, 1 << (PIN_MODULE - 1)
        swap    r25
        ori     r25, SOURCE_MODULE
        rjmp    store

        .global PCINT2_vect
PCINT2_vect:
        out     KEEP_A, r24
        lds     r24, TCNT1L
        out     KEEP_B, r25
        in      r25, PIND
        in      FLAGS, SREG
        movw    KEEP_ZL, r30
        lds     HIGH, TCNT1H
        andi    r25, PINS_SPARE
        ori     r25, SOURCE_SPARE
        rjmp    store

        .global TIMER1_CAPT_vect
TIMER1_CAPT_vect:
        out     KEEP_A, r24
        lds     r24, ICR1L      /* the tick of the edge itself */
        lds     HIGH, ICR1H
        out     KEEP_B, r25
        in      FLAGS, SREG
        movw    KEEP_ZL, r30
        ldi     r30, 1 << ICES1
        lds     r25, TCCR1B
#ifndef FAULT_NO_EDGE_TOGGLE
        eor     r25, r30        /* await the opposite edge */
        sts     TCCR1B, r25
#endif
        ldi     r31, 1 << ICF1
        out     TIFR1, r31      /* the change of edge can raise the flag by itself */
        in      r31, PINB
        bst     r31, PIN_OUTPUT
        bld     r30, 6
        eor     r30, r25        /* bit 6 clear: the line already stands where the awaited edge would bring it */
        com     r25
        andi    r25, MARK_LEVEL
        ori     r25, SOURCE_PORT_B
        sbrc    r30, 6
        rjmp    store
        sbic    TIFR1, ICF1     /* captured after all: it has an interrupt of its own */
        rjmp    store
        ori     r25, MARK_MISSED
        lds     r30, TCCR1B
        ldi     r31, 1 << ICES1
        eor     r30, r31
        sts     TCCR1B, r30
        ldi     r31, 1 << ICF1
        out     TIFR1, r31
        rjmp    store

/* A servo pulse begins or ends. The main loop plans the next one when it sees the pin has changed. */
        .global TIMER1_COMPA_vect
TIMER1_COMPA_vect:
        out     KEEP_A, r24
        out     KEEP_B, r25
        in      FLAGS, SREG
        movw    KEEP_ZL, r30
        ldi     r30, 1 << PIN_SERVO
        in      r25, PORTB
        eor     r25, r30
        out     PORTB, r25
        lds     r24, TCNT1L
        lds     HIGH, TCNT1H
        and     r25, r30
        swap    r25
        ori     r25, SOURCE_PORT_B | MARK_DRIVEN | MARK_SERVO
        lds     r30, TIMSK1     /* once: a match without a plan comes 4 ms later */
        andi    r30, 0xFF & ~(1 << OCIE1A)
        sts     TIMSK1, r30
        rjmp    store

/* void ring_drive(uint8_t pin, uint8_t pins, uint8_t mark): put the pins of the mask `pin` to `pins`, stamped. */
        .global ring_drive
ring_drive:
        com     r24
        movw    KEEP_ZL, r30
        in      FLAGS, SREG
        cli
        in      r25, PORTB
        and     r25, r24
        or      r25, r22
        out     PORTB, r25
        lds     r24, TCNT1L
        lds     HIGH, TCNT1H
        mov     r25, r20
        rjmp    store           /* its return from interrupt lets them in again */

        .global TIMER1_OVF_vect
TIMER1_OVF_vect:
        out     KEEP_A, r24
        in      FLAGS, SREG
        in      r24, TURNS
        inc     r24
        out     TURNS, r24
        in      r24, KEEP_A
        out     SREG, FLAGS
        reti

/* A byte from the host. Edges may interrupt it as soon as the byte is fetched, 12 cycles after it came. */
        .global USART_RX_vect
USART_RX_vect:
        lds     BYTE, UDR0
        sei
        push    r24
        in      r24, SREG
        push    r24
        push    r25
        push    r30
        push    r31
        lds     r24, serial_head
        mov     r30, r24
        clr     r31
        subi    r30, lo8(-(serial_received))
        sbci    r31, hi8(-(serial_received))
        st      Z, BYTE
        inc     r24
        andi    r24, SERIAL_RECEIVED - 1
        lds     r25, serial_tail
        cp      r24, r25        /* full: the byte is dropped and its frame's check fails */
        breq    1f
        sts     serial_head, r24
1:      pop     r31
        pop     r30
        pop     r25
        pop     r24
        out     SREG, r24
        pop     r24
        reti

/* uint32_t clock_now(void): the tick counter, extended. Called at least once a second, so that a turn of its third byte
 * shows. Interrupts are off for 9 cycles: a handler in between would take the timer's latched byte. */
        .section .bss
        .global clock_newest, clock_turns
clock_newest:
        .skip 2
clock_turns:
        .skip 6

        .text
        .global clock_now
clock_now:
        cli
        lds     r22, TCNT1L
        lds     r23, TCNT1H
        in      r24, TURNS
        in      r20, TIFR1
        sei
        sbrs    r20, TOV1
        rjmp    1f
        sbrs    r23, 7
        inc     r24
1:      lds     r25, clock_newest + 3
        lds     r20, clock_newest + 2
        cp      r24, r20
        brsh    3f
        ldi     r30, lo8(clock_newest + 3)
        ldi     r31, hi8(clock_newest + 3)
2:      ld      r20, Z          /* a carry through the upper five bytes */
        inc     r20
        st      Z+, r20
        breq    2b
        lds     r25, clock_newest + 3
3:      sts     clock_newest, r22
        sts     clock_newest + 1, r23
        sts     clock_newest + 2, r24
        ret

/* uint8_t clock_reached(uint32_t tick): whether the last clock_now had reached this tick, modulo 2^32. */
        .global clock_reached
clock_reached:
        lds     r18, clock_newest
        sub     r18, r22
        lds     r18, clock_newest + 1
        sbc     r18, r23
        lds     r18, clock_newest + 2
        sbc     r18, r24
        lds     r18, clock_newest + 3
        sbc     r18, r25
        ldi     r24, 1
        brpl    1f
        clr     r24
1:      ret
