#!/bin/sh
# check.sh ELF FLASH RAM STACK: fails if the program is larger than FLASH, keeps more than RAM bytes, can leave less than
# STACK bytes of stack free, or touches the handlers' registers anywhere but in them and in ring.h.
set -eu
elf=$1 flash_most=$2 ram_most=$3 stack_least=$4
# Constants lie before the constructors, and would read as code.
code=$(avr-objdump -d "$elf" | sed '1,/<__ctors_end>:/d')

flash=$(avr-size -A "$elf" | awk '$1 == ".text" || $1 == ".data" { sum += $2 } END { print sum }')
# Data, .bss and .noinit end where a heap would begin; the ring lies before them.
end=$(avr-nm "$elf" | awk '$3 == "_end" { print $1 }')
ram=$(($(printf '%d' "0x$end") - 0x800100))
depth=$(echo "$code" | awk -f stack.awk)
free=$((2048 - ram - depth))

echo "flash $flash of $flash_most, RAM $ram of $ram_most, stack at most $depth, free $free of at least $stack_least"
[ "$flash" -lt "$flash_most" ] || { echo "too much flash"; exit 1; }
[ "$ram" -lt "$ram_most" ] || { echo "too much RAM"; exit 1; }
[ "$free" -ge "$stack_least" ] || { echo "too little stack"; exit 1; }

# Outside the handlers: ring.h reads the head (r2) and the tail (r9), sets the tail, and clears r2, r8 and r9; the
# prologues save and restore from r11 up (entry 0x12).
strangers=$(echo "$code" | awk '
    /^[0-9a-f]+ <.*>:$/ { name = $2; gsub(/[<>:]/, "", name) }
    name ~ /^(__vectors|__vector_.*|store|bit_of_source|ring_drive)$/ { next }
    name ~ /^__(prologue_saves|epilogue_restores)__$/ { next }
    /__(prologue_saves|epilogue_restores)__(\+0x[0-9a])?>/ { print name ": a prologue from too low a register"; next }
    /\tmov\tr[0-9]+, r[29]$/ || /\tmov\tr9, r[0-9]+$/ || /\teor\tr2, r2$/ || /\teor\tr8, r8$/ || /\teor\tr9, r9$/ { next }
    /\tr([2-9]|10)(,|$|[ \t])|, r([2-9]|10)$/ { print name ":" $0 }')
[ -z "$strangers" ] || { echo "the handlers' registers are used outside them:"; echo "$strangers"; exit 1; }
