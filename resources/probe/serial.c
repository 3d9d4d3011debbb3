#include "serial.h"

#include <avr/interrupt.h>

volatile uint8_t serial_received[SERIAL_RECEIVED], serial_head, serial_tail;
const uint8_t *volatile serial_next;

static uint8_t frames[2][FRAME_MAX];
static const uint8_t *end;
static volatile uint8_t waiting;  /* size of the frame in the other room, 0 none */
static uint8_t sending;           /* the room that is being sent, or was last */

void serial_begin(void)
{
    serial_set(SERIAL_START);
    UCSR0C = 1 << UCSZ01 | 1 << UCSZ00;
    UCSR0B = 1 << RXEN0 | 1 << TXEN0 | 1 << RXCIE0;
}

uint8_t serial_divisor(uint32_t rate)
{
    if (rate == 115200)
        return SERIAL_START;
    if (rate == 250000)
        return 7;
    if (rate == 500000)
        return 3;
    return rate == 1000000 ? 1 : 0;
}

void serial_set(uint8_t divisor)
{
    UCSR0A = 1 << U2X0;
    UBRR0 = divisor;
}

static void send(const uint8_t *from, uint8_t size)
{
    end = from + size;
    serial_next = from;
#ifdef FAULT_INTERRUPT_TRANSMIT
    UCSR0B |= 1 << UDRIE0;
#endif
}

void serial_push_byte(void)
{
    const uint8_t *at = serial_next;
    UDR0 = *at++;
    if (at != end) {
        serial_next = at;
        return;
    }
    serial_next = 0;
    if (waiting) {
        uint8_t size = waiting;
        waiting = 0;
        sending ^= 1;
        send(frames[sending], size);
    }
}

#ifdef FAULT_INTERRUPT_TRANSMIT
ISR(USART_UDRE_vect)
{
    if (serial_next)
        serial_push_byte();
    if (!serial_next)
        UCSR0B &= (uint8_t) ~(1 << UDRIE0);
}
#endif

uint8_t *serial_room(void)
{
    return waiting ? 0 : frames[sending ^ 1];
}

void serial_commit(uint8_t size)
{
#ifdef FAULT_INTERRUPT_TRANSMIT
    cli();
#endif
    if (serial_next) {
        waiting = size;
    } else {
        sending ^= 1;
        send(frames[sending], size);
    }
#ifdef FAULT_INTERRUPT_TRANSMIT
    sei();
#endif
}

uint8_t serial_idle(void)
{
    return !serial_next;
}

uint8_t serial_take(uint8_t *byte)
{
    uint8_t tail = serial_tail;
    if (tail == serial_head)
        return 0;
    *byte = serial_received[tail];
    serial_tail = (tail + 1) & (SERIAL_RECEIVED - 1);
    return 1;
}
