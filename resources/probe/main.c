/* The probe's program for an ATmega328P at 16 MHz: stamps edges, samples levels, drives leads, speaks wire format 1. */

#include <avr/interrupt.h>
#include <avr/io.h>

#include "clock.h"
#include "commands.h"
#include "drives.h"
#include "edges.h"
#include "identity.h"
#include "levels.h"
#include "sender.h"
#include "serial.h"

int main(void)
{
    drives_begin();
    identity_begin();
    serial_begin();
    clock_begin();
    edges_begin();
    sei();
    levels_begin();
    sender_describe();
    for (;;) {
        serial_push();
        edges_poll();
        serial_push();
        levels_poll();
        clock_now();
        drives_poll();
        serial_push();
        commands_poll();
        sender_poll();
    }
}
