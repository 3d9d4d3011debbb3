#include "frames.h"

#ifdef __AVR__
#include "serial.h"
#define MEANWHILE() serial_push()  /* the line must not run dry while the next frame is written */
#else
#define MEANWHILE() (void)0
#endif

/* Byte by byte: a shift of 16 bits is a loop on this processor. */
static inline __attribute__((always_inline)) uint16_t crc_step(uint16_t crc, uint8_t byte)
{
    byte ^= (uint8_t)crc;
    byte ^= (uint8_t)(byte << 4);
    uint8_t low = (uint8_t)((crc >> 8) ^ (byte << 3) ^ (byte >> 4));
    uint8_t high = byte ^ (byte >> 5);
    return (uint16_t)(high << 8 | low);
}

uint16_t crc_add(uint16_t crc, uint8_t byte)
{
    return crc_step(crc, byte);
}

uint8_t frame_write(uint8_t *frame, uint8_t *body, uint8_t size)
{
    uint16_t crc = CRC_START;
    uint8_t *code = frame, *at = frame + 1;  /* code: waits for the distance to the next zero */
    for (uint8_t left = (uint8_t)(size + CHECK_SIZE); left; left--) {
        if (left == CHECK_SIZE) {
            body[0] = (uint8_t)crc;
            body[1] = (uint8_t)(crc >> 8);
        }
        uint8_t byte = *body++;
        crc = crc_step(crc, byte);
        if (byte) {
            *at = byte;
        } else {
            *code = (uint8_t)(at - code);
            code = at;
        }
        at++;
        if (!(left & 3))
            MEANWHILE();
    }
    *code = (uint8_t)(at - code);
    *at++ = 0;
    return (uint8_t)(at - frame);
}

static void keep(struct receiver *receiver, uint8_t byte)
{
    receiver->crc = crc_step(receiver->crc, byte);
    if (receiver->size < KEPT)
        receiver->body[receiver->size] = byte;
    if (receiver->size <= BODY_MAX)
        receiver->size++;
}

static enum arrival judge(const struct receiver *receiver)
{
    if (!receiver->code)
        return ARRIVAL_NONE;  /* zeros in a row are idle */
    if (receiver->left || receiver->size < 4 || receiver->size > BODY_MAX || receiver->crc)
        return ARRIVAL_DAMAGE;  /* the check over a body that ends with its own check is 0 */
    return ARRIVAL_FRAME;
}

enum arrival receiver_take(struct receiver *receiver, uint8_t byte)
{
    if (!byte) {
        enum arrival arrival = judge(receiver);
        receiver->left = receiver->code = 0;
        return arrival;
    }
    if (receiver->left) {
        receiver->left--;
        keep(receiver, byte);
        return ARRIVAL_NONE;
    }
    if (!receiver->code) {
        receiver->size = 0;
        receiver->crc = CRC_START;
    } else if (receiver->code != 0xFF) {
        keep(receiver, 0);
    }
    receiver->code = byte;
    receiver->left = (uint8_t)(byte - 1);
    return ARRIVAL_NONE;
}
