# Reads a disassembly; prints the most stack the program can take: the deepest chain of calls from main, on it the byte
# handler, on that one handler of an edge. Fails if a function calls itself or through a pointer: neither has a bound.
# A test paints the stack and finds it no deeper.

function hex(text,    n, value) {
    for (n = 1; n <= length(text); n++)
        value = 16 * value + index("0123456789abcdef", substr(text, n, 1)) - 1
    return value
}

function fail(why) {
    print why
    failed = 1
    exit 1
}

# Follow every call and jump out of a function.
function depth(name,    n, most, below) {
    if (name in done)
        return done[name]
    if (name in open)
        fail(name " calls itself")
    open[name] = 1
    most = 0
    for (n = 1; n <= calls[name]; n++) {
        below = depth(callee[name, n])
        if (below > most)
            most = below
    }
    delete open[name]
    return done[name] = own[name] + most
}

/^[0-9a-f]+ <.*>:$/ {
    name = $2
    gsub(/[<>:]/, "", name)
    own[name] = name ~ /^_/ ? 0 : 2  # its return address
    if (name ~ /^__vector_/)
        own[name] = 2
    next
}
/\tpush\t/ { own[name]++ }
/\tldi\tr26, / { low = hex(substr($0, index($0, "r26, 0x") + 7, 2)) }
/\tldi\tr27, / { high = hex(substr($0, index($0, "r27, 0x") + 7, 2)) }
/\tsbiw\tr28, / { own[name] += hex(substr($0, index($0, "r28, 0x") + 7, 2)) }
/\trcall\t\.\+0 / { own[name] += 2; next }
/\ticall|\tijmp/ { if (name !~ /^__prologue/) fail(name " calls through a pointer") }
/\t(r?call|r?jmp)\t/ {
    if (!match($0, /<[^>]*>/))
        next
    target = substr($0, RSTART + 1, RLENGTH - 2)
    offset = match(target, /\+0x/) ? hex(substr(target, RSTART + 3)) : 0
    sub(/\+0x.*/, "", target)
    if (target == "__prologue_saves__") {
        own[name] += 18 - offset / 2 + 256 * high + low  # registers up to 17, 28, 29; the frame
        next
    }
    if (target != name && target != "__epilogue_restores__")
        callee[name, ++calls[name]] = target
}

END {
    if (failed)
        exit 1
    worst = 0
    for (name in own)
        if (name ~ /^__vector_/ && name != "__vector_18" && depth(name) > worst)
            worst = depth(name)
    print depth("main") + depth("__vector_18") + worst
}
