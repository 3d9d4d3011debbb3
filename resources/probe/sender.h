/* Decides what is sent next: replies, then heartbeats, level samples, the descriptor, edges. */
#ifndef SENDER_H
#define SENDER_H

#include <stdint.h>

/* Send the descriptor, from its beginning. */
void sender_describe(void);

/* Send commands_answer; it must not change while sender_replies. */
void sender_reply(void);
uint8_t sender_replies(void);

/* Write the next frame, if there is room for one. Called over and over. */
void sender_poll(void);

/* Hold back every frame after the reply, for a change of the rate; return whether the line is quiet. */
uint8_t sender_hush(uint8_t on);

#endif
