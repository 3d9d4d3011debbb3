#include "identity.h"

#include <avr/eeprom.h>
#include <avr/io.h>

char identity_serial[SERIAL_SIZE];

/* At the end of the EEPROM, which a new program leaves alone: the serial number, then a byte that says it is there. */
#define STORED ((uint8_t *)(E2END - sizeof identity_start_id))
#define MADE_AT ((uint8_t *)E2END)
#define MADE 0x54

static char digit(uint8_t nibble)
{
    return (char)(nibble + (nibble < 10 ? '0' : 'A' - 10));
}

void identity_begin(void)
{
    uint8_t made = eeprom_read_byte(MADE_AT) == MADE;
    const uint8_t *fresh = (const uint8_t *)&identity_start_id;
    char *spelt = identity_serial;
    for (uint8_t *at = STORED; at != MADE_AT; at++) {
        if (!made)
            eeprom_update_byte(at, *fresh++);  /* the first start id, for ever */
        uint8_t byte = eeprom_read_byte(at);
        *spelt++ = digit(byte >> 4);
        *spelt++ = digit(byte & 0x0F);
    }
    eeprom_update_byte(MADE_AT, MADE);
}
