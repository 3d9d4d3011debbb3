/* Edges on their way into frames: two frames' room, in order of time. */
#ifndef EDGE_FRAMES_H
#define EDGE_FRAMES_H

#include <stdint.h>

#include "wire.h"

void edge_frames_start(void);

/* Return whether there is room for so many edges, in this frame or in a new one. */
uint8_t edge_frames_room(uint8_t edges);

/* Add an edge; there is room. tag: lead, level and flags. */
void edge_frames_add(uint8_t tag, uint32_t tick);

/* Return whether edges should be sent: a frame is full or old, or enough wait and the line is free. */
uint8_t edge_frames_due(uint8_t line_free);

/* Return the edges to send, and how many; they stay until edge_frames_sent. */
struct edges *edge_frames_take(uint8_t *count);
void edge_frames_sent(void);

#endif
