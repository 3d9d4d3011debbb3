/* Commands from the host, and what depends on whether there is one. */
#ifndef COMMANDS_H
#define COMMANDS_H

#include <stdint.h>

#include "wire.h"

/* To the newest command; kept for a repeat of its token. */
extern struct reply commands_answer;

/* The heartbeat's state. */
uint8_t commands_state(void);

/* Obey what has come; see to the host's silence and to a change of the rate. Called over and over. */
void commands_poll(void);

#endif
