/* What the board says of itself and of each lead. */
#ifndef DESCRIPTOR_H
#define DESCRIPTOR_H

#include <stdint.h>

#define DESCRIPTOR_PARTS 15  /* the board, then 14 leads */

/* Write a part as a frame's body; return its size. */
uint8_t descriptor_write(uint8_t *body, uint8_t part);

#endif
