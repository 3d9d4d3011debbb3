#include "sender.h"

#include "account.h"
#include "board.h"
#include "clock.h"
#include "commands.h"
#include "descriptor.h"
#include "drives.h"
#include "edge_frames.h"
#include "edges.h"
#include "frames.h"
#include "identity.h"
#include "levels.h"
#include "listening.h"
#include "serial.h"

#define HEARTBEAT_TICKS (100 * TICKS_A_MS)

struct heartbeat account;
uint8_t account_levels;

static uint8_t body[BODY_MAX];  /* of level samples and of the descriptor */
static uint32_t beat;  /* when the next heartbeat is due */
static uint8_t reply_waits, hushed;
static uint8_t part = DESCRIPTOR_PARTS;  /* of the descriptor, the next one to send */

void sender_describe(void)
{
    part = 0;
}

void sender_reply(void)
{
    reply_waits = 1;
}

uint8_t sender_replies(void)
{
    return reply_waits;
}

uint8_t sender_hush(uint8_t on)
{
    hushed = on;
    return !reply_waits && serial_idle();
}

static void send(uint8_t *room, enum kind kind, void *message, uint8_t size)
{
    uint8_t *head = message;
    head[0] = kind;
    head[1] = (uint8_t)account.frames_sent;
    size = frame_write(room, head, size);
    account.frames_sent++;  /* a heartbeat tells the frames before itself */
    serial_commit(size);
}

static uint8_t send_reply(uint8_t *room)
{
    if (!reply_waits)
        return 0;
    reply_waits = 0;
    send(room, KIND_REPLY, &commands_answer, REPLY_SIZE);
    return 1;
}

static uint8_t send_heartbeat(uint8_t *room)
{
    if (!clock_reached(beat))
        return 0;
    beat += HEARTBEAT_TICKS;
    account.start_id_low = (uint8_t)identity_start_id;
    account.lead_levels = listening_pins() | drives_levels();
    account.state = commands_state();
    clock_now();
    account.tick = clock_newest;
    send(room, KIND_HEARTBEAT, &account, (uint8_t)(HEARTBEAT_SIZE + account_levels * sizeof *account.last_levels));
    return 1;
}

static uint8_t send_levels(uint8_t *room)
{
    struct level_samples *samples = (struct level_samples *)body;
    uint8_t count = levels_take(samples);
    if (!count)
        return 0;
    account.records_sent += count;
    send(room, KIND_LEVELS, body, (uint8_t)(sizeof *samples - sizeof samples->counts + 2 * count));
    return 1;
}

static uint8_t send_descriptor(uint8_t *room)
{
    if (part >= DESCRIPTOR_PARTS)
        return 0;
    send(room, KIND_DESCRIPTOR, body, descriptor_write(body, part));
    part++;
    return 1;
}

static uint8_t send_edges(uint8_t *room)
{
    if (!edge_frames_due(serial_idle()))
        return 0;
    uint8_t count;
    struct edges *edges = edge_frames_take(&count);
    account.records_sent += count;
    send(room, KIND_EDGES, edges, (uint8_t)(2 + count * sizeof *edges->records));
    edge_frames_sent();
    return 1;
}

void sender_poll(void)
{
    uint8_t *room = serial_room();
    if (!room || send_reply(room) || hushed)
        return;
#ifdef FAULT_EDGES_FIRST
    if (send_edges(room))
        return;
#endif
    /* Under overload edges wait without end: were they first, nothing else would ever be sent. */
    if (send_heartbeat(room) || send_levels(room) || send_descriptor(room))
        return;
    send_edges(room);
}
