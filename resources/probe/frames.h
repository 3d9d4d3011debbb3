/* Frames of wire format 1: COBS( kind, number, payload, CRC-16 low byte first ) 00. Plain C, for any processor. */
#ifndef FRAMES_H
#define FRAMES_H

#include <stdint.h>

#define PAYLOAD_MAX 64
#define CHECK_SIZE 2
#define BODY_MAX (2 + PAYLOAD_MAX + CHECK_SIZE)  /* kind, number, payload, check */
#define FRAME_MAX (BODY_MAX + 2)    /* COBS adds one, the zero is one */
#define CRC_START 0xFFFF

/* Return the check with one more byte in it: reflected 0x8408, start CRC_START, no final inversion. */
uint16_t crc_add(uint16_t crc, uint8_t byte);

/* Write a whole frame; return its size, at most FRAME_MAX. The body is kind, number and payload; the two bytes after its
 * size take the check. */
uint8_t frame_write(uint8_t *frame, uint8_t *body, uint8_t size);

/* What is kept of a body that comes in: the longest command is 11 bytes. Longer ones are checked, not kept. */
#define KEPT 16

enum arrival { ARRIVAL_NONE, ARRIVAL_FRAME, ARRIVAL_DAMAGE };

/* Takes frames apart byte by byte. All zero at first. After ARRIVAL_FRAME, size bytes came, check included. */
struct receiver {
    uint8_t body[KEPT];
    uint8_t size;   /* bytes of the body so far */
    uint8_t left;   /* bytes until the next COBS code */
    uint8_t code;   /* the code they came under, 0 before the first */
    uint16_t crc;
};

enum arrival receiver_take(struct receiver *receiver, uint8_t byte);

#endif
