#include "descriptor.h"

#include <avr/pgmspace.h>
#include <string.h>

#include "board.h"
#include "identity.h"
#include "wire.h"

#define TOLERANCE_PPM 5000  /* a ceramic resonator's, the worst that such boards carry */

#define TICK_PS 62500U
#define SAFE_MV 5000
#define SHORTEST_NS 15000  /* two edges so close are told apart whatever else goes on */
#define SHORTEST_SERVO_NS 100000
#define FULL_SCALE_MV 5000
#define FULL_SCALE_COUNTS 1024
#define NONLINEARITY 128  /* half a count, integral: data sheet of the chip, typical */

/* Texts as the wire has them: the size, then the bytes. */
static const uint8_t program[] PROGMEM = "\11probe 1.1";
/* For each lead, in order, its usual role and its pin. */
static const uint8_t texts[] PROGMEM = "\6output\2D8"
                                       "\6switch\2D2"
                                       "\6module\2D3"
                                       "\0\2D4"
                                       "\0\2D5"
                                       "\0\2D6"
                                       "\0\2D7"
                                       "\5drive\2D9"
                                       "\5stick\2A0"
                                       "\4horn\2A1"
                                       "\7voltage\2A2"
                                       "\7current\2A3"
                                       "\0\20D10 servo pulses"
                                       "\0\10D13 lamp";

/* What all leads of a kind have in common. */
static const struct lead_facts kinds[] PROGMEM = {
    [LEAD_IS_EDGE] = {0, 0, 1, 0, LEAD_IS_EDGE, TICK_PS, 0, 0, 0, SHORTEST_NS, 0, 0, UNKNOWN_16, SAFE_MV},
    [LEAD_IS_LEVEL] = {0, 0, 1, 0, LEAD_IS_LEVEL, TICK_PS, 0, 0, 0, 0, FULL_SCALE_MV, FULL_SCALE_COUNTS, NONLINEARITY,
                       SAFE_MV},
    [LEAD_IS_DRIVE] = {0, 0, 1, 0, LEAD_IS_DRIVE, TICK_PS, 0, 0, 0, SHORTEST_SERVO_NS, 0, 0, UNKNOWN_16, UNKNOWN_32},
};

/* Ticks. Bias: from an edge to the stamp in its handler, nothing else going on. Worst lateness: the capture's handler,
 * then that of every interrupt lead before this one, 62 and 49 cycles, 6 more each where the timer turns over, and the
 * instruction after each. Tests hold every stamp, and the texts that repeat them, to these. */
struct timing {
    uint8_t kind;
    uint8_t ticks[3];  /* bias, typical, worst */
};
static const struct timing timings[LEAD_COUNT] PROGMEM = {
    [LEAD_OUTPUT] = {LEAD_IS_EDGE, {0, 0, 0}},
    [LEAD_SWITCH] = {LEAD_IS_EDGE, {8, 13, 76}},
    [LEAD_MODULE] = {LEAD_IS_EDGE, {8, 13, 136}},
    [LEAD_SPARE] = {LEAD_IS_EDGE, {8, 13, 196}},
    [LEAD_SPARE + 1] = {LEAD_IS_EDGE, {8, 13, 196}},
    [LEAD_SPARE + 2] = {LEAD_IS_EDGE, {8, 13, 196}},
    [LEAD_SPARE + 3] = {LEAD_IS_EDGE, {8, 13, 196}},
    [LEAD_DRIVE] = {LEAD_IS_DRIVE, {1, 1, 3}},
    [LEAD_LEVEL] = {LEAD_IS_LEVEL, {0, 0, 0}},
    [LEAD_LEVEL + 1] = {LEAD_IS_LEVEL, {0, 0, 0}},
    [LEAD_LEVEL + 2] = {LEAD_IS_LEVEL, {0, 0, 0}},
    [LEAD_LEVEL + 3] = {LEAD_IS_LEVEL, {0, 0, 0}},
    [LEAD_SERVO] = {LEAD_IS_DRIVE, {1, 1, 3}},
    [LEAD_LAMP] = {LEAD_IS_DRIVE, {1, 1, 3}},
};

_Static_assert(DESCRIPTOR_PARTS == 1 + LEAD_COUNT, "a part for the board and one for each lead");

static const uint8_t *after_text(const uint8_t *text)
{
    return text + 1 + pgm_read_byte(text);
}

static uint8_t write_board(uint8_t *body)
{
    struct board_facts *board = (struct board_facts *)body;
    uint8_t *at = body + sizeof *board;
    board->part = 0;
    board->wire_version = WIRE_VERSION;
    board->start_id = identity_start_id;
    board->tick_hz = TICK_HZ;
    board->tick_bits = 32;
    board->clock_kind = CLOCK_RESONATOR;
    board->tolerance_ppm = TOLERANCE_PPM;
    board->lead_count = LEAD_COUNT;
    *at++ = SERIAL_SIZE;
    memcpy(at, identity_serial, SERIAL_SIZE);
    memcpy_P(at + SERIAL_SIZE, program, sizeof program - 1);
    return sizeof *board + 1 + SERIAL_SIZE + sizeof program - 1;
}

static uint8_t write_lead(uint8_t *body, uint8_t lead)
{
    struct lead_facts *facts = (struct lead_facts *)body;
    struct timing timing;
    const uint8_t *text = texts;
    memcpy_P(&timing, &timings[lead], sizeof timing);
    memcpy_P(facts, &kinds[timing.kind], sizeof *facts);
    facts->lead = lead;
    uint32_t *ps = &facts->bias_ps;  /* the three follow one another */
    for (uint8_t n = 0; n < sizeof timing.ticks; n++)
        *ps++ = (uint32_t)timing.ticks[n] * TICK_PS;
    while (lead--)
        text = after_text(after_text(text));
    uint8_t size = (uint8_t)(after_text(after_text(text)) - text);
    memcpy_P(body + sizeof *facts, text, size);
    return (uint8_t)(sizeof *facts + size);
}

uint8_t descriptor_write(uint8_t *body, uint8_t part)
{
    return part ? write_lead(body, part - 1) : write_board(body);
}
