/* An emulated ATmega328P board at 16 MHz: its pins, its serial line, and a modelled radio that answers it. Everything
 * happens at cycles of its clock, 62.5 ns each; nothing here knows the time of day. */
#ifndef BOARD_H
#define BOARD_H

#include <stddef.h>
#include <stdint.h>

#include <simavr/avr_adc.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_timer.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>

#define BOARD_HZ 16000000u

/* What the emulator does otherwise than the chip, put right from outside; a bit each, so that a test can do without and
 * show what each is for. */
enum workaround {
    FLAGS_CLEAR_SINGLY = 1 << 0,   /* a write to a register of interrupt flags clears those written as one, no others */
    FLAGS_WAIT = 1 << 1,           /* a flag raised before its interrupt was enabled interrupts once it is */
    CONVERSIONS_TRIGGER = 1 << 2,  /* timer 1's compare B starts a conversion */
    SAMPLES_HOLD = 1 << 3,         /* a conversion tells the voltage when it was held, not when it was read */
    CONVERSIONS_END = 1 << 4,      /* writing a one clears the converter's flag */
    COUNTS_OF_1024 = 1 << 5,       /* full scale is 1,024 counts, not 1,023 */
    BYTES_OF_10_BITS = 1 << 6,     /* a byte takes 10 bits of the line, not 11 */
    LINE_BUFFERS = 1 << 7,         /* the line takes the next byte while it sends one */
    INTERRUPTS_TAKE_TIME = 1 << 8, /* 4 cycles from an interrupt to its vector */
    NO_NAPS = 1 << 9,              /* nothing sleeps in real time */
    LONG_RUNS = 1 << 10,           /* 1,000 cycles between looks at what is due, not one */
    RAM_OF_CHANCE = 1 << 11,       /* RAM holds chance after power-up, not zeros */
    MATCHES_AFTER_TURNS = 1 << 12, /* timer 1 matches 0 to 2 also when an instruction lies over its turn */
    ALL_WORKAROUNDS = (1 << 13) - 1
};

/* A level of a pin, D0 to D13, from a cycle on. */
struct edge {
    uint64_t cycle;
    uint32_t pin, level;
};

/* A sample the converter held. */
struct held {
    uint64_t cycle;
    uint32_t channel, counts;
};

/* A byte on the line, when its stop bit ended. */
struct sent {
    uint64_t cycle;
    uint32_t byte, unused;
};

/* A list that grows; the library's users read it as it stands. */
struct list {
    void *items;
    size_t count, room;
};

/* The voltage of a level lead at a cycle; in between it goes in straight lines, and after the last it stays. */
struct point {
    uint64_t cycle;
    uint32_t uv, unused;
};

/* The modelled radio: it reads the control once a frame and turns it into servo pulses on D8. */
struct radio {
    uint64_t frame, phase;   /* cycles; no radio where frame is 0 */
    uint64_t delay;          /* a pulse that begins at c tells how the control stood at c - delay */
    uint32_t pulse[2];       /* cycles, for either level of the control */
    uint32_t control;        /* the pin of the control, or ANY_CONTROL, or STICK */
    uint32_t level;          /* of the pulse now */
    uint64_t next;
    uint32_t width;
    struct list *moves;      /* of the control */
};
#define ANY_CONTROL 100  /* whichever of D2 and D9 moved last */
#define STICK 101        /* the voltage of A0, in proportion */

struct board {
    avr_t *avr;
    uint32_t workarounds;
    avr_timer_t *timer;
    avr_adc_t *adc;
    avr_uart_t *uart;
    avr_irq_t *pins[14];
    uint8_t levels[14];
    uint8_t reset_by;        /* MCUSR bits for the next reset */
    uint8_t pull_ups;        /* ports that ever had one, a bit each: B, C, D */
    struct port { struct board *board; int bit; } ports[3];
    void (*core_reset)(avr_t *avr);

    uint64_t looks;          /* how often the emulator looked at what is due */
    struct list planned;     /* struct edge, in order of time */
    size_t next_edge;
    struct list landed;      /* struct edge: inputs, at the cycle they took effect */
    struct list driven;      /* struct edge: outputs */
    struct list moves;       /* struct edge: of the radio's control */
    struct list answers;     /* struct edge: of the radio's pulses */
    struct list held;        /* struct held */
    struct list sent;        /* struct sent */

    uint8_t heard[4096];     /* bytes on their way to the board */
    size_t heard_first, heard_count;
    uint32_t host_baud;      /* the host's rate; 0: always the board's */
    uint8_t feeding;

    uint8_t shifting, buffered;  /* the line sends; a byte waits behind it */
    uint8_t shift, buffer;

    uint8_t compare_flag;    /* compare B has matched and was not cleared */
    uint8_t held_channel;
    uint32_t held_uv;
    struct list channels[4]; /* struct point, in order of time, of A0 to A3 */
    uint64_t wire_delay;     /* D2 follows D9 after so many cycles, as through an opto-isolator; 0: no wire */
    uint8_t wire_level;
    struct radio radio;

    struct { avr_io_write_t c; void *param; } udr_write, ubrr_write, ucsrb_write, adcsra_write, tifr_write;
    avr_io_read_t adcl_read;
    void *adcl_param;
};

/* Power up a board: `seed` fills its RAM. 0 where the emulator knows no such chip. */
struct board *board_new(uint32_t seed, uint32_t workarounds);
void board_free(struct board *board);

/* Put an Intel HEX file into flash; return 0 where it cannot be read. */
int board_load(struct board *board, const char *hex);

/* Begin at this address after a reset: a boot loader's. */
void board_boot_at(struct board *board, uint32_t address);

/* Pull the reset line. RAM keeps what it holds, and inputs their levels. */
void board_reset(struct board *board);

/* Run up to a cycle, or a few more; return 0 where the program crashed. */
int board_run(struct board *board, uint64_t cycle);
uint64_t board_cycle(const struct board *board);
/* Return the cycle at which timer 1 last turned over, or began. */
uint64_t board_turned(const struct board *board);

/* Plan levels of pins; they are put in order of time. */
void board_plan(struct board *board, const struct edge *edges, size_t count);

/* Bytes from the host, one after the other; return how many there was room for. */
size_t board_hear(struct board *board, const uint8_t *bytes, size_t count);
void board_host_baud(struct board *board, uint32_t baud);
/* Return the rate the line is set to. */
uint32_t board_baud(const struct board *board);

void board_level(struct board *board, uint32_t channel, const struct point *points, size_t count);
void board_radio(struct board *board, uint64_t frame, uint64_t phase, uint64_t delay, uint32_t low, uint32_t high,
                 uint32_t control);

/* Lay a wire from the drive lead to the switch lead. */
void board_wire(struct board *board, uint64_t delay);

/* Lists by their names' first letters: l landed, d driven, m moves, a answers, h held, s sent. */
const struct list *board_list(const struct board *board, char name);
void board_forget(struct board *board, char name);

uint64_t board_looks(const struct board *board);

/* Return whether any pin had an internal pull-up since power-up. */
int board_pull_ups(const struct board *board);

uint8_t *board_ram(struct board *board);
uint8_t *board_flash(struct board *board);

/* Shared by the files of the board. */
void *list_add(struct list *list, size_t size);
uint32_t voltage_uv(const struct board *board, uint32_t channel, uint64_t cycle);
void pin_set(struct board *board, uint32_t pin, uint32_t level);
void converter_begin(struct board *board);
void line_begin(struct board *board);
void line_reset(struct board *board);
void flags_begin(struct board *board);
void radio_move(struct board *board, uint32_t pin, uint32_t level);
void radio_reset(struct board *board);

#endif
