/* Who this board is: a number that is new at each reset, and one that stays. */
#ifndef IDENTITY_H
#define IDENTITY_H

#include <stdint.h>

extern uint32_t identity_start_id;

#define SERIAL_SIZE 8
extern char identity_serial[SERIAL_SIZE];  /* hexadecimal digits, no zero at the end */

/* Read the serial number; make one at the board's first start. */
void identity_begin(void);

#endif
