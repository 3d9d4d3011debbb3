/* Edges: from the handlers' records to edge records, lead by lead. */
#ifndef EDGES_H
#define EDGES_H

#include <stdint.h>

void edges_begin(void);

/* Record the leads of the mask from now on Muting ends. */
void edges_start(uint16_t leads);

/* Record no more; what has come is still sent. */
void edges_stop(void);

/* Turn some waiting records into edges. Called over and over. */
void edges_poll(void);

#endif
