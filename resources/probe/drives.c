#include "drives.h"

#include <avr/interrupt.h>
#include <avr/io.h>

#include "board.h"
#include "clock.h"
#include "ring.h"

/* In 256 ticks, 16 us: at least 0.1 ms of pulse, and of rest between two. A period is less than 2^24 ticks, 1 s. */
#define SHORTEST 6
/* The compare sees 16 bits of the tick: it is set within half a turn, and not for a moment that has come already. */
#define IN_SIGHT 0x8000U
#define TOO_NEAR 100

enum { DRIVE_PIN, SERVO_PIN, LAMP_PIN, DRIVES };
static const uint8_t pins[DRIVES] = {1 << PIN_DRIVE, 1 << PIN_SERVO, 1 << PIN_LAMP};
static const uint8_t marks[DRIVES] = {MARK_DRIVE, MARK_SERVO, MARK_LAMP};
#define PINS (1 << PIN_DRIVE | 1 << PIN_SERVO | 1 << PIN_LAMP)

static struct plan {
    uint8_t planned, level;
    uint32_t tick;
} plans[DRIVES];

static struct servo {
    uint8_t on, high, armed;  /* high: as it stood when the next change was planned */
    uint32_t pulse, rest, next;
} servo;

void drives_begin(void)
{
    PORTB = 0;  /* low before they are outputs, and no pull-up on the others ever */
    DDRB = PINS;
}

/* Return which of the driven leads this is, DRIVES if none, or if it has no such level. */
static uint8_t which(uint8_t lead, uint8_t level)
{
    if (level > 1)
        return DRIVES;
    if (lead == LEAD_DRIVE)
        return DRIVE_PIN;
    if (lead == LEAD_SERVO)
        return SERVO_PIN;
    return lead == LEAD_LAMP ? LAMP_PIN : DRIVES;
}

static void put(uint8_t n, uint8_t level)
{
    uint8_t pin = pins[n], mark = marks[n] | MARK_DRIVEN | SOURCE_PORT_B, stand = PORTB & pin;
    if (level) {
        if (!stand)
            ring_drive(pin, pin, mark | MARK_LEVEL);
    } else if (stand) {
        ring_drive(pin, 0, mark);
    }
}

static void set(uint8_t n, uint8_t level)
{
    if (n == SERVO_PIN) {
        servo.on = servo.armed = 0;
        cli();
        TIMSK1 &= (uint8_t) ~(1 << OCIE1A);
        sei();
    }
    plans[n].planned = 0;
    put(n, level);
}

static void plan(uint8_t n, uint8_t level, uint32_t tick)
{
    struct plan *next = &plans[n];
    next->planned = 1;
    next->level = level;
    next->tick = tick;
}

enum status drives_set(uint8_t lead, uint8_t level)
{
    uint8_t n = which(lead, level);
    if (n == DRIVES)
        return WRONG_FIELD;
    set(n, level);
    return DONE;
}

enum status drives_set_at(uint8_t lead, uint8_t level, uint32_t tick)
{
    uint8_t n = which(lead, level);
    if (n == DRIVES)
        return WRONG_FIELD;
    if (clock_reached(tick))
        return NOT_NOW;
    plan(n, level, tick);
    return DONE;
}

/* Return ticks, two for every whole 125 ns. */
static uint32_t __attribute__((noinline)) ticks_of(uint32_t ns)
{
    return ns / 125 * 2;
}

static uint8_t long_enough(uint32_t ticks)
{
    return (uint16_t)(ticks >> 8) >= SHORTEST;
}

enum status drives_servo(uint8_t lead, uint32_t pulse_ns, uint32_t period_ns)
{
    if (lead != LEAD_SERVO)
        return WRONG_FIELD;
    if (!pulse_ns) {
        set(SERVO_PIN, 0);
        return DONE;
    }
    uint32_t pulse = ticks_of(pulse_ns), rest = ticks_of(period_ns) - pulse;
    if ((uint8_t)((pulse | rest | (pulse + rest)) >> 24) || !long_enough(pulse) || !long_enough(rest))
        return WRONG_FIELD;
    if (!servo.on) {
        set(SERVO_PIN, 0);
        servo.high = 0;
        servo.next = clock_newest.low + TICKS_A_MS;
        servo.on = 1;
    }
    servo.pulse = pulse;  /* from the next edge on, so that no pulse is cut */
    servo.rest = rest;
    return DONE;
}

enum status drives_lamp(uint8_t lead, uint16_t duration_ms)
{
    if (lead != LEAD_LAMP || !duration_ms)
        return WRONG_FIELD;
    put(LAMP_PIN, 1);
    plan(LAMP_PIN, 0, clock_newest.low + duration_ms * TICKS_A_MS);
    return DONE;
}

void drives_rest(void)
{
    for (uint8_t n = 0; n < DRIVES; n++)
        set(n, 0);
}

uint8_t drives_at_rest(void)
{
    return !(PORTB & PINS) && !servo.on && !(plans[0].planned | plans[1].planned | plans[2].planned);
}

uint16_t drives_levels(void)
{
    uint8_t stand = PORTB;
    uint16_t levels = 0;
    if (stand & 1 << PIN_DRIVE)
        levels |= 1 << LEAD_DRIVE;
    if (stand & 1 << PIN_SERVO)
        levels |= 1 << LEAD_SERVO;
    if (stand & 1 << PIN_LAMP)
        levels |= 1 << LEAD_LAMP;
    return levels;
}

/* Let the compare change the pin at servo.next. */
static void arm(void)
{
    uint16_t next = (uint16_t)servo.next;
    cli();
    OCR1A = next;
    sei();
    TIFR1 = 1 << OCF1A;
    cli();
    TIMSK1 |= 1 << OCIE1A;
    sei();
    servo.armed = 1;
}

static void poll_servo(void)
{
    uint8_t high = PORTB & 1 << PIN_SERVO;
    if (high != servo.high) {
        servo.high = high;
        servo.armed = 0;
        servo.next += high ? servo.pulse : servo.rest;
    }
    if (servo.armed)
        return;
    uint32_t ahead = servo.next - clock_newest.low;
    if (!(ahead >> 16)) {
        uint16_t near = (uint16_t)ahead;
        if (near > TOO_NEAR) {
            if (near < IN_SIGHT)
                arm();
            return;
        }
    } else if (!((uint8_t)(ahead >> 24) & 0x80)) {
        return;
    }
    put(SERVO_PIN, !high);  /* held up: at once, rather than a turn of the timer late */
}

void drives_poll(void)
{
    for (uint8_t n = 0; n < DRIVES; n++) {
        struct plan *next = &plans[n];
        if (next->planned && clock_reached(next->tick)) {
            next->planned = 0;
            put(n, next->level);
        }
    }
    if (servo.on)
        poll_servo();
}
