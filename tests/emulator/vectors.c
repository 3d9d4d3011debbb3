/* The probe's own code for frames and messages, on the computer: reads orders line by line, prints what comes of each.
 *
 *   edges NUMBER (TAG TICK)...              a frame, in hexadecimal
 *   levels NUMBER LEAD FIRST STEP COUNT...
 *   heartbeat NUMBER START TICK LEVELS STATE MUTED SENT LOST FOLDED LEVEL_LOST HIGH BAD FRAMES (LEAD COUNTS)...
 *   reply NUMBER COMMAND TOKEN STATUS TICK
 *   board NUMBER VERSION START HZ BITS CLOCK TOLERANCE LEADS TEXTS
 *   lead NUMBER LEAD KIND RESOLUTION BIAS TYPICAL WORST SHORTEST FULL COUNTS BENT SAFE TEXTS
 *   hear FRAME                              a command's fields, or "damage", "nothing"
 *
 * TEXTS are the bytes that follow the numbers, in hexadecimal. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "frames.h"
#include "wire.h"

static char *rest;

static uint64_t number(void)
{
    return strtoull(rest, &rest, 10);
}

static int more(void)
{
    rest += strspn(rest, " \n");
    return *rest != 0;
}

static uint8_t bytes(uint8_t *to)
{
    uint8_t count = 0;
    unsigned byte;
    rest += strspn(rest, " ");
    while (sscanf(rest, "%2x", &byte) == 1 && *rest != '-') {
        to[count++] = (uint8_t)byte;
        rest += 2;
    }
    return count;
}

static void print_frame(void *message, uint8_t kind, uint8_t seq, size_t size)
{
    uint8_t frame[FRAME_MAX], *body = message;
    body[0] = kind;
    body[1] = seq;
    uint8_t count = frame_write(frame, body, (uint8_t)size);
    for (uint8_t n = 0; n < count; n++)
        printf("%02x", frame[n]);
    puts("");
}

static void edges(uint8_t seq)
{
    struct edges message;
    uint8_t count = 0;
    while (more()) {
        message.records[count].tag = (uint8_t)number();
        message.records[count++].tick = (uint32_t)number();
    }
    print_frame(&message, KIND_EDGES, seq, 2 + count * sizeof *message.records);
}

static void level_samples(uint8_t seq)
{
    uint8_t room[BODY_MAX];
    struct level_samples *message = (struct level_samples *)room;
    uint8_t count = 0;
    message->lead = (uint8_t)number();
    message->first_tick = (uint32_t)number();
    message->step = (uint32_t)number();
    while (more())
        message->counts[count++] = (uint16_t)number();
    print_frame(room, KIND_LEVELS, seq, sizeof *message - sizeof message->counts + 2u * count);
}

static struct tick tick(void)
{
    uint64_t value = number();
    return (struct tick){(uint32_t)value, (uint32_t)(value >> 32)};
}

static void heartbeat(uint8_t seq)
{
    struct heartbeat message;
    uint8_t count = 0;
    message.start_id_low = (uint8_t)number();
    message.tick = tick();
    message.lead_levels = (uint16_t)number();
    message.state = (uint8_t)number();
    message.muted = (uint16_t)number();
    message.records_sent = (uint32_t)number();
    message.lost = (uint16_t)number();
    message.folded = (uint16_t)number();
    message.level_lost = (uint16_t)number();
    message.high_water = (uint8_t)number();
    message.bad_received = (uint8_t)number();
    message.frames_sent = (uint32_t)number();
    while (more()) {
        message.last_levels[count].lead = (uint8_t)number();
        message.last_levels[count++].counts = (uint16_t)number();
    }
    print_frame(&message, KIND_HEARTBEAT, seq, HEARTBEAT_SIZE + count * sizeof *message.last_levels);
}

static void reply(uint8_t seq)
{
    struct reply message;
    message.command = (uint8_t)number();
    message.token = (uint8_t)number();
    message.status = (uint8_t)number();
    message.tick = tick();
    print_frame(&message, KIND_REPLY, seq, REPLY_SIZE);
}

static void board(uint8_t seq)
{
    uint8_t room[BODY_MAX];
    struct board_facts *message = (struct board_facts *)room;
    message->part = 0;
    message->wire_version = (uint8_t)number();
    message->start_id = (uint32_t)number();
    message->tick_hz = (uint32_t)number();
    message->tick_bits = (uint8_t)number();
    message->clock_kind = (uint8_t)number();
    message->tolerance_ppm = (uint16_t)number();
    message->lead_count = (uint8_t)number();
    print_frame(room, KIND_DESCRIPTOR, seq, sizeof *message + bytes(room + sizeof *message));
}

static void lead(uint8_t seq)
{
    uint8_t room[BODY_MAX];
    struct lead_facts *message = (struct lead_facts *)room;
    message->part = 1;
    message->lead = (uint8_t)number();
    message->lead_kind = (uint8_t)number();
    message->resolution_ps = (uint32_t)number();
    message->bias_ps = (uint32_t)number();
    message->lateness_typical_ps = (uint32_t)number();
    message->lateness_worst_ps = (uint32_t)number();
    message->shortest_pulse_ns = (uint32_t)number();
    message->full_scale_mv = (uint32_t)number();
    message->full_scale_counts = (uint16_t)number();
    message->nonlinearity_256ths = (uint16_t)number();
    message->highest_safe_mv = (uint32_t)number();
    print_frame(room, KIND_DESCRIPTOR, seq, sizeof *message + bytes(room + sizeof *message));
}

static void print_command(const struct command *command)
{
    printf("%u %u", command->order, command->token);
    switch (command->order) {
    case START: printf(" %u %u", command->start.leads, command->start.rate); break;
    case MUTE:
    case DRIVE: printf(" %u %u", command->drive.lead, command->drive.level); break;
    case DRIVE_AT: printf(" %u %u %" PRIu32, command->drive.lead, command->drive.level, command->drive.tick); break;
    case SERVO:
        printf(" %u %" PRIu32 " %" PRIu32, command->servo.lead, command->servo.pulse_ns, command->servo.period_ns);
        break;
    case LAMP: printf(" %u %u", command->lamp.lead, command->lamp.duration_ms); break;
    case BAUD: printf(" %" PRIu32, command->rate); break;
    }
    puts("");
}

static void hear(void)
{
    static struct receiver receiver;
    uint8_t frame[512];
    uint8_t count = bytes(frame);
    const char *came = "nothing";
    for (uint8_t n = 0; n < count; n++) {
        switch (receiver_take(&receiver, frame[n])) {
        case ARRIVAL_NONE: break;
        case ARRIVAL_DAMAGE: came = "damage"; break;
        case ARRIVAL_FRAME: came = "frame"; break;
        }
    }
    const struct command *command = (const struct command *)(receiver.body + 2);
    if (strcmp(came, "frame") || receiver.body[0] != KIND_COMMAND)
        puts(came);
    else if (command_check(command, (uint8_t)(receiver.size - 4)) != DONE)
        puts("wrong");
    else
        print_command(command);
}

int main(void)
{
    char line[4096], order[16];
    int read;
    while (fgets(line, sizeof line, stdin) && sscanf(line, "%15s%n", order, &read) == 1) {
        rest = line + read;
        if (!strcmp(order, "hear")) {
            hear();
            continue;
        }
        uint8_t seq = (uint8_t)number();
        if (!strcmp(order, "edges"))
            edges(seq);
        else if (!strcmp(order, "levels"))
            level_samples(seq);
        else if (!strcmp(order, "heartbeat"))
            heartbeat(seq);
        else if (!strcmp(order, "reply"))
            reply(seq);
        else if (!strcmp(order, "board"))
            board(seq);
        else if (!strcmp(order, "lead"))
            lead(seq);
        else
            return 1;
    }
    return 0;
}
