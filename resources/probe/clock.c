#include "clock.h"

#include <avr/io.h>

void clock_begin(void)
{
    GPIOR0 = 0;
    TCCR1A = 0;
    TCNT1 = 0;
    TIFR1 = 1 << TOV1;
    TIMSK1 = 1 << TOIE1;
    TCCR1B = 1 << CS10;
}
