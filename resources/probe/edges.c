#include "edges.h"

#include "account.h"
#include "board.h"
#include "clock.h"
#include "edge_frames.h"
#include "floods.h"
#include "listening.h"
#include "ring.h"
#include "serial.h"
#include "wire.h"

/* 16 us. Only the capture stamps an edge before its handler runs, at most three other handlers later: what is older
 * than this has everything that can lie before it in the ring. */
#define SETTLED 256
/* A handler that came less than this before may have held an interrupt edge up: see the cycles in handlers.S. */
#define HELD_UP 160
/* The count of turns is taken by an interrupt of its own, just after the turn. */
#define AFTER_TURN 80
#define SPARE_BIAS 8

static uint8_t lost_before;          /* leads whose next edge comes after one that is missing */
static uint8_t driven, driven_lost;  /* pins of port B that are recorded; those whose next edge comes after a loss */
static uint8_t stopping;             /* what is in the ring is still told */
static uint8_t ordered;              /* the newest record of the ring that stands in its place */
static uint32_t newest;              /* the latest stamp of any record */
static uint32_t spare_stamp;         /* the last stamp of a spare lead's record, and whether two leads shared it */
static uint8_t spare_shared;

/* The record in hand. */
static uint8_t mark, flags;
static uint32_t stamp;

void edges_begin(void)
{
    ring_begin();
    ordered = (uint8_t)-RING_STEP;
    listening_begin();
}

void edges_start(uint16_t leads)
{
    listening_deaf();
    ring_set_tail(ring_head());
    ordered = ring_head() - RING_STEP;
    edge_frames_start();
    driven = 0;
    if (leads & 1 << LEAD_DRIVE)
        driven |= 1 << PIN_DRIVE;
    if (leads & 1 << LEAD_SERVO)
        driven |= 1 << PIN_SERVO;
    if (leads & 1 << LEAD_LAMP)
        driven |= 1 << PIN_LAMP;
    lost_before = driven_lost = stopping = spare_shared = 0;
    floods_start();
    listening_start(leads & BITS_ALL);
    newest = clock_now();  /* an edge that came just now is stamped late */
}

void edges_stop(void)
{
    listening_deaf();
    stopping = 1;
}

static __attribute__((noinline)) void add(uint8_t lead, uint8_t bit, uint8_t level)
{
    uint8_t tag = lead | flags;
    if (level)
        tag |= TAG_LEVEL;
    if (lost_before & bit)
        tag |= TAG_LOST_BEFORE;
    lost_before &= (uint8_t)~bit;
    floods_busy(lead, 1);
    edge_frames_add(tag, stamp);
}

/* Edges came and went before anything looked. Those of a pulse shorter than 1 us may be counted twice: both can fall into
 * the response to the first. */
static __attribute__((noinline)) void fold(uint8_t lead, uint8_t bits, uint8_t edges)
{
    account.folded += edges;
    lost_before |= bits;
    floods_busy(lead, edges);
}

/* One lead with an interrupt of its own: every record is an edge, unless the level is what it was: then two folded. */
static void take_single(uint8_t lead, uint8_t bit)
{
    uint8_t level = mark & MARK_LEVEL ? bit : 0;
    if (!(listening_heard & bit))
        return;
    if (mark & MARK_LOST) {
        lost_before |= bit;
    } else if (level == (listening_levels & bit)) {
        fold(lead, bit, 2);
        return;
    }
    listening_levels = (uint8_t)((listening_levels & ~bit) | level);
    add(lead, bit, level);
}

static void take_capture(void)
{
    if (!(listening_heard & BIT_OUTPUT))
        return;
    add(LEAD_OUTPUT, BIT_OUTPUT, mark & MARK_LEVEL);
    if (mark & MARK_MISSED)
        fold(LEAD_OUTPUT, BIT_OUTPUT, 1);
}

static void take_driven(void)
{
    uint8_t tag = LEAD_DRIVE, pin = 1 << PIN_DRIVE;
    if (mark & MARK_SERVO) {
        tag = LEAD_SERVO;
        pin = 1 << PIN_SERVO;
    } else if (mark & MARK_LAMP) {
        tag = LEAD_LAMP;
        pin = 1 << PIN_LAMP;
    }
    if (!(driven & pin))
        return;
    if (mark & MARK_LEVEL)
        tag |= TAG_LEVEL;
    if (driven_lost & pin)
        tag |= TAG_LOST_BEFORE;
    driven_lost &= (uint8_t)~pin;
    edge_frames_add(tag, stamp);
}

static void take_port_b(void)
{
    if (mark & MARK_LOST) {  /* which of them cannot be told */
        lost_before |= BIT_OUTPUT;
        driven_lost = driven;
    }
    if (mark & MARK_DRIVEN)
        take_driven();
    else
        take_capture();
}

static uint8_t more_than_one(uint8_t bits)
{
    return bits & (uint8_t)(bits - 1);
}

/* The spare leads share one interrupt: who moved shows only against the levels before. */
static __attribute__((noinline)) void take_spares(void)
{
    uint8_t heard = listening_heard & BITS_SPARE;
    uint8_t stand = (mark >> (4 - LEAD_SPARE)) & heard;
    uint8_t moved = (listening_levels & heard) ^ stand;
    uint8_t again = spare_shared && stamp - spare_stamp < HELD_UP;
    spare_stamp = stamp;
    spare_shared = 0;
    listening_levels ^= moved;
    if (!heard)
        return;
    if (mark & MARK_LOST) {
        lost_before |= heard;
        if (more_than_one(heard)) {
            /* Which of them moved now and which before cannot be told: this record is lost as well. */
            account.lost++;
            return;
        }
        moved = heard;
    } else if (!moved) {
        /* After a record of two leads its second edge interrupts once more; else a lead came and went. */
        if (!again)
            fold(LEAD_SPARE, heard, 2);
        return;
    }
    if (more_than_one(moved)) {
        /* Stamped when both had moved, so that neither is early once the bias is subtracted. */
        spare_shared = 1;
        flags = TAG_COARSE;
        stamp += SPARE_BIAS;
    }
    for (uint8_t lead = LEAD_SPARE, bit = 1 << LEAD_SPARE; lead < LEAD_SPARE + SPARES; lead++, bit <<= 1)
        if (moved & bit)
            add(lead, bit, stand & bit);
}

/* Turn a record into edges; return whether there was room for them. */
static __attribute__((noinline)) uint8_t take(uint8_t at, uint32_t tick)
{
    mark = RING_LOW[at];
    uint8_t source = mark & MARK_SOURCE;
    if (!edge_frames_room(source == SOURCE_SPARE ? SPARES : 1))
        return 0;
    stamp = tick;
    flags = 0;
    uint32_t since = tick - newest;
    uint8_t earlier = (uint8_t)(since >> 24) & 0x80;
    if (!earlier)
        newest = tick;
    if (source == SOURCE_PORT_B) {
        take_port_b();
        return 1;
    }
    if (mark & MARK_ANY_LOST || earlier || since < HELD_UP || (uint16_t)tick < AFTER_TURN)
        flags = TAG_COARSE;
    if (source == SOURCE_SPARE)
        take_spares();
    else if (source == SOURCE_SWITCH)
        take_single(LEAD_SWITCH, BIT_SWITCH);
    else
        take_single(LEAD_MODULE, BIT_MODULE);
    return 1;
}

static void swap(uint8_t *at, uint8_t *before)
{
    uint16_t kept = *(uint16_t *)at;
    *(uint16_t *)at = *(uint16_t *)before;
    *(uint16_t *)before = kept;
}

/* Return whether a record is earlier than the one before it in the ring, by less than a turn of the timer. */
static uint8_t earlier(const uint8_t *at, const uint8_t *before)
{
    if (at[0x101] != before[0x101])
        return (uint8_t)(at[0x101] + 1) == before[0x101];
    return at[0x100] < before[0x100] || (at[0x100] == before[0x100] && at[1] < before[1]);
}

/* A capture's handler may run after up to three others whose edges came later: put its record before theirs. Each record
 * is looked at once, when it is the fourth or the newest. */
static __attribute__((noinline)) void put_in_order(uint8_t tail, uint8_t waiting)
{
    uint8_t last = (uint8_t)(tail + RING_STEP * (waiting > 3 ? 3 : waiting - 1));
    while (ordered != last) {
        ordered += RING_STEP;
        if ((RING_LOW[ordered] & (MARK_SOURCE | MARK_DRIVEN)) != SOURCE_PORT_B)
            continue;
        for (uint8_t to = ordered; to != tail; to -= RING_STEP) {
            uint8_t *at = RING_LOW + to, *before = RING_LOW + (uint8_t)(to - RING_STEP);
            if (!earlier(at, before))
                break;
            swap(at, before);
            swap(at + 0x100, before + 0x100);
        }
    }
}

void edges_poll(void)
{
    uint8_t head = ring_head(), tail = ring_tail();
    uint32_t now = clock_now();  /* after the head was read: no record up to it is later */
    uint8_t waiting = (uint8_t)(head - tail) / RING_STEP;
    if (waiting > account.high_water)
        account.high_water = waiting;
    floods_poll();
    for (uint8_t turn = 0; turn < 3 && waiting; turn++, waiting--) {
        put_in_order(tail, waiting);
        uint32_t age = (now - ring_tick(tail)) & 0x00FFFFFF;
        if (age < SETTLED || !take(tail, now - age))
            return;
        tail += RING_STEP;
        ring_set_tail(tail);
        serial_push();
    }
    if (stopping && !waiting) {
        stopping = 0;
        driven = 0;
        listening_start(0);
    }
}
