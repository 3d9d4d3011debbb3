/* Raises the flag of an interrupt before it is enabled: D9 tells whether it interrupts then, as it does on the chip. */
#include <avr/interrupt.h>
#include <avr/io.h>

ISR(INT0_vect)
{
    PORTB |= 1 << PB1;
}

int main(void)
{
    DDRB = 1 << PB1;
    EICRA = 1 << ISC00;
    sei();
    while (!(EIFR & 1 << INTF0))
        ;
    EIMSK = 1 << INT0;
    for (;;)
        ;
}
