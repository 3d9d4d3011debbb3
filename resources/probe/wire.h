/* Messages of wire format 1 as they stand in the body of a frame, byte for byte: kind, number, payload. Plain C for
 * processors that store the low byte first. */
#ifndef WIRE_H
#define WIRE_H

#include <stdint.h>

#define PACKED __attribute__((packed))

#define WIRE_VERSION 1
#define EDGES_MAX 12
#define SAMPLES_MAX 16
#define LAST_LEVELS_MAX 4  /* of the 8 that the format allows */

enum kind { KIND_EDGES = 1, KIND_LEVELS, KIND_HEARTBEAT, KIND_REPLY, KIND_DESCRIPTOR, KIND_COMMAND = 16 };

enum tag { TAG_LEVEL = 0x10, TAG_COARSE = 0x20, TAG_LOST_BEFORE = 0x40 };

enum state { STATE_STARTED = 1, STATE_HOST_HEARD = 2, STATE_AT_REST = 4 };

enum order { IDENTIFY = 1, START, STOP, MUTE, DRIVE, DRIVE_AT, SERVO, LAMP, PING, BAUD };

enum status { DONE, UNKNOWN_COMMAND, WRONG_FIELD, NOT_NOW };

enum clock_kind { CLOCK_UNKNOWN, CLOCK_CRYSTAL, CLOCK_RESONATOR };

enum lead_kind { LEAD_IS_EDGE, LEAD_IS_LEVEL, LEAD_IS_DRIVE };

/* A tick of 64 bits; its highest bit is never set. */
struct PACKED tick {
    uint32_t low, high;
};

struct PACKED edge_record {
    uint8_t tag;
    uint32_t tick;
};

struct PACKED edges {
    uint8_t kind, number;
    struct edge_record records[EDGES_MAX];
    uint16_t check;
};

struct PACKED level_samples {
    uint8_t kind, number;
    uint8_t lead;
    uint32_t first_tick, step;
    uint16_t counts[SAMPLES_MAX];
};

struct PACKED last_level {
    uint8_t lead;
    uint16_t counts;
};

struct PACKED heartbeat {
    uint8_t kind, number;
    uint8_t start_id_low;
    struct tick tick;
    uint16_t lead_levels;
    uint8_t state;
    uint16_t muted;
    uint32_t records_sent;
    uint16_t lost, folded, level_lost;
    uint8_t high_water, bad_received;
    uint32_t frames_sent;
    struct last_level last_levels[LAST_LEVELS_MAX];
    uint16_t check;  /* or after fewer levels */
};
#define HEARTBEAT_SIZE (2 + 30)  /* without last levels */

struct PACKED reply {
    uint8_t kind, number;
    uint8_t command, token, status;
    struct tick tick;
    uint16_t check;
};
#define REPLY_SIZE (2 + 11)

struct PACKED board_facts {
    uint8_t kind, number;
    uint8_t part, wire_version;
    uint32_t start_id, tick_hz;
    uint8_t tick_bits, clock_kind;
    uint16_t tolerance_ppm;
    uint8_t lead_count;
};

struct PACKED lead_facts {
    uint8_t kind, number;
    uint8_t part, lead, lead_kind;
    uint32_t resolution_ps, bias_ps, lateness_typical_ps, lateness_worst_ps, shortest_pulse_ns, full_scale_mv;
    uint16_t full_scale_counts, nonlinearity_256ths;
    uint32_t highest_safe_mv;
};
#define UNKNOWN_16 0xFFFF
#define UNKNOWN_32 0xFFFFFFFF

#define ASSERT_SIZE(type, bytes) _Static_assert(sizeof(struct type) == (bytes), #type " has its size on the wire")
ASSERT_SIZE(edge_record, 5);
ASSERT_SIZE(level_samples, 2 + 9 + 2 * SAMPLES_MAX);
ASSERT_SIZE(heartbeat, HEARTBEAT_SIZE + 3 * LAST_LEVELS_MAX + 2);
ASSERT_SIZE(reply, REPLY_SIZE + 2);
ASSERT_SIZE(board_facts, 2 + 15);
ASSERT_SIZE(lead_facts, 2 + 35);

/* A command's fields as they stand on the wire. */
struct PACKED command {
    uint8_t order, token;
    union PACKED {
        struct PACKED { uint16_t leads, rate; } start;
        struct PACKED { uint8_t lead, level; uint32_t tick; } drive;  /* mute: level is on; drive: no tick */
        struct PACKED { uint8_t lead; uint32_t pulse_ns, period_ns; } servo;
        struct PACKED { uint8_t lead; uint16_t duration_ms; } lamp;
        uint32_t rate;
    };
};

/* Return DONE, UNKNOWN_COMMAND, or WRONG_FIELD where a command of at least 2 bytes has a wrong length. */
enum status command_check(const struct command *command, uint8_t length);

#endif
