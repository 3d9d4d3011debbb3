/* A boot loader for the emulated board: speaks STK500 version 1 (its protocol is published as application note AVR061),
 * as the boot loaders of such boards do, at 115,200. It begins at 0x7C00, below the end of 32 kB. After a second in
 * which nobody said anything it understands, and when it is told to leave, it starts the program at 0, if there is
 * one. */
#define F_CPU 16000000UL
#include <avr/boot.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <util/delay.h>

#define IN_SYNC 0x14
#define OK 0x10
#define NOT_UNDERSTOOD 0x12
#define NO_SYNC 0x15
#define END 0x20

/* Loops of take() in a second, roughly. */
#define PATIENCE 500000UL

static uint32_t patience;
static uint16_t address;

static void start_program(void)
{
    if (pgm_read_word(0) == 0xFFFF) {
        patience = PATIENCE;
        return;
    }
    _delay_us(200);  /* two bytes may still be on the line */
    UCSR0B = 0;
    UCSR0A = 0;
    UBRR0 = 0;
    ((void (*)(void))0)();
}

static uint8_t take(void)
{
    while (!(UCSR0A & 1 << RXC0))
        if (!--patience)
            start_program();
    return UDR0;
}

static void say(uint8_t byte)
{
    while (!(UCSR0A & 1 << UDRE0))
        ;
    UDR0 = byte;
}

/* Skip a command's bytes, and expect its end. */
static uint8_t ends_after(uint8_t bytes)
{
    while (bytes--)
        take();
    if (take() != END) {
        say(NO_SYNC);
        return 0;
    }
    patience = PATIENCE;
    say(IN_SYNC);
    return 1;
}

static uint8_t parameter(uint8_t which)
{
    switch (which) {
    case 0x81: return 4;  /* software, major and minor */
    case 0x82: return 4;
    default: return 3;
    }
}

static void write_page(void)
{
    uint8_t page[SPM_PAGESIZE];
    uint16_t size = (uint16_t)(take() << 8);
    size |= take();
    uint8_t flash = take() == 'F';
    for (uint16_t n = 0; n < size; n++) {
        uint8_t byte = take();
        if (n < SPM_PAGESIZE)
            page[n] = byte;
    }
    if (!ends_after(0))
        return;
    if (flash && size <= SPM_PAGESIZE && address < 0x7C00) {
        boot_page_erase(address);
        boot_spm_busy_wait();
        for (uint16_t n = 0; n < size; n += 2)
            boot_page_fill(address + n, page[n] | (uint16_t)page[n + 1] << 8);
        boot_page_write(address);
        boot_spm_busy_wait();
        boot_rww_enable();
    }
    say(OK);
}

static void read_page(void)
{
    uint16_t size = (uint16_t)(take() << 8);
    size |= take();
    take();
    if (!ends_after(0))
        return;
    for (uint16_t n = 0; n < size; n++)
        say(pgm_read_byte(address + n));
    say(OK);
}

static void obey(uint8_t command)
{
    uint8_t which;
    switch (command) {
    case '0':  /* in step? */
    case 'P':  /* programming begins */
    case 'R':
        if (ends_after(0))
            say(OK);
        break;
    case 'Q':  /* ends */
        if (ends_after(0)) {
            say(OK);
            start_program();
        }
        break;
    case 'A':
        which = take();
        if (ends_after(0)) {
            say(parameter(which));
            say(OK);
        }
        break;
    case 'B':
        if (ends_after(20))
            say(OK);
        break;
    case 'E':
        if (ends_after(5))
            say(OK);
        break;
    case 'U':
        address = take();
        address |= (uint16_t)(take() << 8);
        address = (uint16_t)(address * 2);
        if (ends_after(0))
            say(OK);
        break;
    case 'V':
        if (ends_after(4)) {
            say(0);
            say(OK);
        }
        break;
    case 'd': write_page(); break;
    case 't': read_page(); break;
    case 'u':
        if (ends_after(0)) {
            say(SIGNATURE_0);
            say(SIGNATURE_1);
            say(SIGNATURE_2);
            say(OK);
        }
        break;
    default:
        if (ends_after(0))
            say(NOT_UNDERSTOOD);
    }
}

/* Runs first, without any start-up code: nothing in RAM has a value yet, and the stack is where the reset put it. */
int main(void) __attribute__((section(".init9"), OS_main));
int main(void)
{
    __asm__ volatile("clr __zero_reg__");
    patience = PATIENCE;
    UCSR0A = 1 << U2X0;
    UCSR0C = 1 << UCSZ01 | 1 << UCSZ00;
    UBRR0 = 16;
    UCSR0B = 1 << RXEN0 | 1 << TXEN0;
    for (;;)
        obey(take());
}
