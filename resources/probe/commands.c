#include "commands.h"

#include <stddef.h>
#include <string.h>

#include "account.h"
#include "board.h"
#include "clock.h"
#include "drives.h"
#include "edges.h"
#include "faults.h"
#include "frames.h"
#include "levels.h"
#include "listening.h"
#include "sender.h"
#include "serial.h"
#include "watchdog.h"
#include "wire.h"

#define HOST_GONE (2000000 / CLOCK_TURN_US)
#define PROOF_WITHIN (1000000 / CLOCK_TURN_US)
#define LINE_DRAINS 2  /* the last two bytes leave the line */
#define MOST_SAMPLES 1000

static struct receiver receiver;
struct reply commands_answer;
static uint8_t answered, started, heard, guarded_at;
static uint16_t heard_at;

/* A change of the rate: the reply leaves at the old one; without a ping at the new one it is taken back. */
static enum { SETTLED, LEAVING, DRAINING, ON_TRIAL } phase;
static uint8_t rate = SERIAL_START, next_rate;
static uint16_t phase_since;

uint8_t commands_state(void)
{
    return (uint8_t)((started ? STATE_STARTED : 0) | (heard ? STATE_HOST_HEARD : 0) |
                     (drives_at_rest() ? STATE_AT_REST : 0));
}

static uint8_t phase_lasts(uint16_t turns)
{
    return (uint16_t)(clock_turns - phase_since) < turns;
}

static void follow_rate(void)
{
    if (phase == LEAVING) {
        if (!sender_hush(1))
            return;
    } else if (phase == DRAINING) {
        if (phase_lasts(LINE_DRAINS))
            return;
        serial_set(next_rate);
        sender_hush(0);
    } else {
        if (phase == ON_TRIAL && !phase_lasts(PROOF_WITHIN)) {
            serial_set(rate);
            phase = SETTLED;
        }
        return;
    }
    phase++;
    phase_since = clock_turns;
}

static enum status begin(uint16_t leads, uint16_t level_rate)
{
    if (level_rate > MOST_SAMPLES)
        return WRONG_FIELD;
    memset(&account.muted, 0, offsetof(struct heartbeat, bad_received) - offsetof(struct heartbeat, muted));
    levels_start(leads, level_rate);
    edges_start(leads);
    started = 1;
    return DONE;
}

static enum status end(void)
{
    drives_rest();
    edges_stop();
    levels_stop();
    started = 0;
    return DONE;
}

static enum status mute(uint8_t lead, uint8_t on)
{
    if (on > 1)
        return WRONG_FIELD;
    if (lead < EDGE_LEADS)
        listening_mute(listening_bit(lead), on);
    else if (lead >= LEAD_LEVEL && lead < LEAD_LEVEL + LEVELS)
        levels_mute(lead, on);
    else
        return WRONG_FIELD;
    return DONE;
}

static enum status change_rate(uint32_t wanted)
{
    uint8_t divisor = serial_divisor(wanted);
    if (!divisor)
        return WRONG_FIELD;
    if (phase != SETTLED)
        return NOT_NOW;
    if (divisor != rate) {
        next_rate = divisor;
        phase = LEAVING;
    }
    return DONE;
}

static __attribute__((noinline)) enum status obey(const struct command *command)
{
    uint8_t lead = command->drive.lead, level = command->drive.level;
    switch (command->order) {
    case START: return begin(command->start.leads, command->start.rate);
    case STOP: return end();
    case MUTE: return mute(lead, level);
    case DRIVE: return drives_set(lead, level);
    case DRIVE_AT: return drives_set_at(lead, level, command->drive.tick);
    case SERVO: return drives_servo(lead, command->servo.pulse_ns, command->servo.period_ns);
    case LAMP: return drives_lamp(lead, command->lamp.duration_ms);
    case BAUD: return change_rate(command->rate);
    case PING:
        fault_at_ping();
        if (phase == ON_TRIAL) {
            phase = SETTLED;
            rate = next_rate;
        }
        return DONE;
    default: return DONE;  /* identify: the descriptor follows every reply to it */
    }
}

static __attribute__((noinline)) void take_command(const struct command *command, uint8_t length)
{
    heard = 1;
    heard_at = clock_turns;
    if (!answered || commands_answer.command != command->order || commands_answer.token != command->token) {
        enum status status = command_check(command, length);
        commands_answer.command = command->order;
        commands_answer.token = command->token;
        commands_answer.status = (uint8_t)(status == DONE ? obey(command) : status);
        clock_now();
        commands_answer.tick = clock_newest;
        answered = 1;
    }
    sender_reply();
    if (command->order == IDENTIFY && commands_answer.status == DONE)
        sender_describe();
}

static void take_byte(uint8_t byte)
{
    switch (receiver_take(&receiver, byte)) {
    case ARRIVAL_DAMAGE:
        account.bad_received++;
        break;
    case ARRIVAL_FRAME:
        if (receiver.body[0] == KIND_COMMAND && receiver.size >= 6)
            take_command((const struct command *)(receiver.body + 2), (uint8_t)(receiver.size - 4));
        break;
    case ARRIVAL_NONE:
        break;
    }
}

/* Bring the driven leads to rest where no host was heard for long. The watchdog does it where this is not reached any
 * more, or its clock stands. */
static void guard(void)
{
    if (heard && (uint16_t)(clock_turns - heard_at) > HOST_GONE) {
        heard = 0;
        drives_rest();
    }
    if ((uint8_t)clock_turns != guarded_at) {
        guarded_at = (uint8_t)clock_turns;
        watchdog_feed();
    }
}

void commands_poll(void)
{
    uint8_t byte;
    if (!sender_replies() && serial_take(&byte))
        take_byte(byte);
    guard();
    follow_rate();
}
