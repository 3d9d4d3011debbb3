#include "levels.h"

#include <avr/interrupt.h>
#include <avr/io.h>

#include "account.h"
#include "board.h"
#include "clock.h"
#include "listening.h"

#define SLOT TICKS_A_MS  /* a conversion a millisecond */
#define SLOTS_A_SECOND 1000
/* From the compare value to the sample: the flag is set a tick after the match; the sample is held two ADC clocks and
 * three ticks of synchronising later (data sheet of the chip, converter timing with automatic trigger). */
#define HELD_AFTER (1 + 2 * 128 + 3)
#define KEPT_SAMPLES 32
/* Setting the next compare takes a moment: a slot so near is missed. */
#define TOO_NEAR 200

static struct level {
    uint8_t recorded;
    uint8_t first, size;
    uint8_t broken;       /* a sample is missing after those kept: they go out before another is taken */
    uint32_t first_tick;  /* of the oldest sample kept */
    uint16_t counts[KEPT_SAMPLES];
} levels[LEVELS];

static uint16_t slots, slot;  /* slots in a round, the sampled leads first; the one whose conversion is awaited */
static uint32_t slot_tick;    /* its compare value */

static struct last_level *here;  /* what the awaited conversion measures; none in a slot that is left free */
static struct level *recorded;   /* and the lead it is recorded for, if any */

/* Await the conversion of this slot. */
static void __attribute__((noinline)) await(void)
{
    uint16_t compare = (uint16_t)slot_tick;
    if (here)
        ADMUX = (uint8_t)(1 << REFS0 | (here->lead - LEAD_LEVEL));
    cli();
    OCR1B = compare;
    sei();
    TIFR1 = 1 << OCF1B;  /* only a rising flag starts a conversion */
}

static void __attribute__((noinline)) go_to_slot(void)
{
    if (slot >= slots)
        slot = 0;
    here = 0;
    recorded = 0;
    if (slot >= account_levels)
        return;
    here = &account.last_levels[slot];
    recorded = &levels[here->lead - LEAD_LEVEL];
    if (!recorded->recorded)
        recorded = 0;
}

/* Sample these leads from now on; a conversion under way is forgotten. */
static void begin_round(uint8_t leads, uint16_t rate)
{
    uint8_t sampled = 0;
    for (uint8_t lead = LEAD_LEVEL; lead < LEAD_LEVEL + LEVELS; lead++, leads >>= 1)
        if (leads & 1)
            account.last_levels[sampled++].lead = lead;
    account_levels = sampled;
    slots = 0;
    for (uint16_t left = SLOTS_A_SECOND; left >= rate; left -= rate)
        slots++;
    if (slots < sampled)
        slots = sampled;
    /* The first conversion after the converter is switched on takes twice as long: it is thrown away. */
    slot = slots - 1;
    here = 0;
    recorded = 0;
    slot_tick = clock_now() + SLOT;
    ADCSRA = 0;
    await();
    ADCSRA = 1 << ADEN | 1 << ADATE | 1 << ADIF | 7 << ADPS0;
}

void levels_begin(void)
{
    DIDR0 = 0x3F;
    ADMUX = 1 << REFS0;
    ADCSRB = 1 << ADTS2 | 1 << ADTS0;
    begin_round(0x0F, SLOTS_A_SECOND);
}

void levels_start(uint16_t leads, uint16_t rate)
{
    uint8_t wanted = rate ? leads >> LEAD_LEVEL & 0x0F : 0, bits = wanted;
    for (uint8_t n = 0; n < LEVELS; n++, bits >>= 1) {
        levels[n].recorded = bits & 1;
        levels[n].size = 0;
    }
    begin_round(wanted ? wanted : 0x0F, wanted ? rate : SLOTS_A_SECOND);
}

void levels_stop(void)
{
    for (uint8_t n = 0; n < LEVELS; n++) {
        levels[n].recorded = 0;
        levels[n].broken = 1;
    }
}

void levels_mute(uint8_t lead, uint8_t on)
{
    struct level *level = &levels[lead - LEAD_LEVEL];
    uint16_t bit = (uint16_t)(listening_bit(lead - LEAD_LEVEL) << LEAD_LEVEL);
    level->recorded = !on;
    level->broken = 1;
    account.muted = on ? account.muted | bit : account.muted & (uint16_t)~bit;
}

static void __attribute__((noinline)) miss(void)
{
    if (recorded) {
        recorded->broken = 1;
        account.level_lost++;
    }
}

static void keep(uint16_t counts)
{
    struct level *level = recorded;
    if (!level)
        return;
    if (!level->size) {
        level->broken = 0;
        level->first_tick = slot_tick + HELD_AFTER;
    }
    if (level->broken || level->size == KEPT_SAMPLES) {
        miss();
        return;
    }
    level->counts[(uint8_t)(level->first + level->size++) % KEPT_SAMPLES] = counts;
}

void levels_poll(void)
{
    if (!(ADCSRA & 1 << ADIF))
        return;
    uint16_t counts = ADC;
    if (here)
        here->counts = counts;
    keep(counts);
    for (;;) {
        slot++;
        slot_tick += SLOT;
        go_to_slot();
        clock_now();
        if (!clock_reached(slot_tick - TOO_NEAR))
            break;
        miss();
    }
    ADCSRA |= 1 << ADIF;
    await();
}

uint8_t levels_take(struct level_samples *samples)
{
    struct level *level = levels;
    for (uint8_t lead = LEAD_LEVEL; lead < LEAD_LEVEL + LEVELS; lead++, level++) {
        uint8_t count = level->size < SAMPLES_MAX ? level->size : SAMPLES_MAX;
        if (!count || (count < SAMPLES_MAX && !level->broken))
            continue;
        samples->lead = lead;
        samples->first_tick = level->first_tick;
        samples->step = slots * SLOT;
        level->size = (uint8_t)(level->size - count);
        uint16_t *counts = samples->counts;
        for (uint8_t n = count; n; n--) {
            *counts++ = level->counts[level->first];
            level->first = (level->first + 1) % KEPT_SAMPLES;
            level->first_tick += samples->step;
        }
        return count;
    }
    return 0;
}
