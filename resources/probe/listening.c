#include "listening.h"

#include <avr/interrupt.h>
#include <avr/io.h>

#include "account.h"


uint8_t listening_heard, listening_levels;
static uint8_t recorded;

_Static_assert(PIN_MODULE == PIN_SWITCH + 1 && LEAD_MODULE == LEAD_SWITCH + 1 && LEAD_SPARE == LEAD_SWITCH + 2,
               "the leads on port D are in the order of its pins");

uint8_t listening_bit(uint8_t lead)
{
    static const uint8_t bits[8] = {1, 2, 4, 8, 16, 32, 64, 128};
    return bits[lead];
}

uint8_t listening_pins(void)
{
    uint8_t pins = (uint8_t)((PIND & 0xFC) >> (PIN_SWITCH - LEAD_SWITCH));
    if (PINB & 1 << PIN_OUTPUT)
        pins |= BIT_OUTPUT;
    return pins;
}

void listening_begin(void)
{
    EICRA = 1 << ISC00 | 1 << ISC10;  /* both edges */
    PCICR = 1 << PCIE2;
}

static void switch_capture(uint8_t on)
{
    uint8_t bit = on ? 1 << ICIE1 : 0;
    cli();  /* the servo's handler changes this register too */
    TIMSK1 = (uint8_t)((TIMSK1 & ~(1 << ICIE1)) | bit);
    sei();
}

/* Await the edge that leaves the level the output stands at. Its interrupt is off. */
static void arm_capture(void)
{
    uint8_t control = 1 << CS10;
    if (!(PINB & 1 << PIN_OUTPUT))
        control |= 1 << ICES1;
    TCCR1B = control;
    TIFR1 = 1 << ICF1;
}

/* Where leads storm, a still moment may never come: what is told wrongly of them is soon counted and muted. */
#define LOOKS_FOR_STILLNESS 20

/* Return the levels that leads whose interrupts are off stand at; edges that came before are forgotten. */
static uint8_t forget(uint8_t leads)
{
    uint8_t stand, looks = LOOKS_FOR_STILLNESS;
    do {
        stand = listening_pins();
        EIFR = (leads & (BIT_SWITCH | BIT_MODULE)) >> LEAD_SWITCH << INTF0;
        if (!PCMSK2)
            PCIFR = 1 << PCIF2;
        if (leads & BIT_OUTPUT)
            arm_capture();
    } while (stand != listening_pins() && --looks);
    return stand;
}

/* Listen to what is recorded and not muted; `fresh` begin anew. */
static void listen(uint8_t fresh)
{
    uint8_t heard = recorded & (uint8_t)~account.muted;
    uint8_t singles = (uint8_t)((heard & (BIT_SWITCH | BIT_MODULE)) >> LEAD_SWITCH);
    uint8_t spares = (uint8_t)((heard & BITS_SPARE) << (4 - LEAD_SPARE));
    EIMSK &= singles;
    PCMSK2 &= spares;
    if (!(heard & BIT_OUTPUT))
        switch_capture(0);
    listening_levels = (uint8_t)((listening_levels & ~fresh) | (forget(fresh) & fresh));
    listening_heard = heard;
    EIMSK = singles;
    PCMSK2 = spares;
    PCICR = 1 << PCIE2;  /* a storm switches it off */
    if (heard & BIT_OUTPUT)
        switch_capture(1);
}

void listening_deaf(void)
{
    EIMSK = 0;
    PCMSK2 = 0;
    switch_capture(0);
}

void listening_start(uint8_t leads)
{
    recorded = leads;
    listen(BITS_ALL);
}

void listening_mute(uint8_t leads, uint8_t on)
{
    uint16_t before = account.muted;
    account.muted = on ? before | leads : before & (uint16_t)~leads;
    if (account.muted != before)
        listen(leads);
}
