/* Guards the loop that guards the drives. Whatever stops it, the chip resets within a fifth of a second, and a reset lets
 * every driven lead go: the pins are inputs then. (Under a storm on four pins the loop once waited for a still moment
 * that never came; such waits are bounded now, and this stands behind all of them.) */
#ifndef WATCHDOG_H
#define WATCHDOG_H

#include <avr/io.h>
#include <avr/wdt.h>

/* An oscillator of its own counts it, whose rate moves by a tenth with supply and warmth (data sheet, from memory; a quarter
 * is allowed for). A quarter of this would do: neither mixing the start id nor a turn of the loop under the worst storm
 * takes longer. */
#ifndef WATCHDOG_PATIENCE
#define WATCHDOG_PATIENCE WDTO_120MS
#endif

/* Called first of all: after a reset of its own it runs on, and would strike again within 16 ms. The flags are cleared so
 * that the reset line switches it off, and a boot loader finds it so. */
static inline __attribute__((always_inline)) void watchdog_begin(void)
{
    MCUSR = 0;
#ifndef FAULT_NO_WATCHDOG
    wdt_enable(WATCHDOG_PATIENCE);
#endif
}

/* Called by the guard of the drives, and only where its clock has gone on. */
static inline void watchdog_feed(void)
{
    wdt_reset();
}

#endif
