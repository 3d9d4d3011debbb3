/* The board: which lead is which pin, and what the handlers and the C code must agree on. Read by both. */
#ifndef BOARD_H
#define BOARD_H

#define TICK_HZ 16000000UL
#define TICKS_A_MS 16000UL

/* Leads as the wire numbers them. */
#define LEAD_OUTPUT 0  /* D8, PB0: hardware capture */
#define LEAD_SWITCH 1  /* D2, PD2: INT0 */
#define LEAD_MODULE 2  /* D3, PD3: INT1 */
#define LEAD_SPARE 3   /* D4 to D7, PD4 to PD7: pin change, leads 3 to 6 */
#define LEAD_DRIVE 7   /* D9, PB1 */
#define LEAD_LEVEL 8   /* A0 to A3, PC0 to PC3: leads 8 to 11 */
#define LEAD_SERVO 12  /* D10, PB2 */
#define LEAD_LAMP 13   /* D13, PB5 */
#define LEAD_COUNT 14
#define SPARES 4
#define LEVELS 4

#define PIN_OUTPUT 0
#define PIN_DRIVE 1
#define PIN_SERVO 2
#define PIN_LAMP 5
#define PIN_SWITCH 2
#define PIN_MODULE 3
#define PINS_SPARE 0xF0

/* The ring: 128 records of 4 bytes in two pages of RAM. In one page lie the marks and the low bytes of the ticks, in
 * the next the middle and the high bytes. An index is a byte and counts 0, 2, ... 254. */
#define RING 0x0100
#define RING_STEP 2

/* A mark: bits 0-1 source, 2 records of this source lost just before, 3 records of any source lost just before,
 * 4-7 what moved:
 *   INT0, INT1      bit 6 level
 *   spares          bits 4-7 the levels of D4 to D7
 *   port B, capture bit 4 clear, bit 5 the opposite edge was missed, bit 6 level captured
 *   port B, driven  bit 4 set, bits 5 and 7 which (0 drive, bit 5 servo, bit 7 lamp), bit 6 level */
#define SOURCE_SWITCH 0
#define SOURCE_MODULE 1
#define SOURCE_SPARE 2
#define SOURCE_PORT_B 3
#define SOURCES 4
#define MARK_SOURCE 0x03
#define MARK_LOST 0x04
#define MARK_ANY_LOST 0x08
#define MARK_DRIVEN 0x10
#define MARK_MISSED 0x20
#define MARK_WHICH 0xA0
#define MARK_LEVEL 0x40
#define MARK_DRIVE 0x00
#define MARK_SERVO 0x20
#define MARK_LAMP 0x80

/* A source that loses so many between two looks of the main loop leaves it no time: its handler switches it off. */
#define STORM 255

#define SERIAL_RECEIVED 32  /* bytes from the host that can wait; a power of two */

#endif
