/* What the heartbeats tell, counted where it happens. */
#ifndef ACCOUNT_H
#define ACCOUNT_H

#include "wire.h"

/* The next heartbeat; its counters are always up to date. */
extern struct heartbeat account;

/* How many level leads are sampled, and so stand in last_levels. */
extern uint8_t account_levels;

#endif
