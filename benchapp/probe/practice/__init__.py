"""A bench without hardware that speaks the probe's own bytes, on its own virtual time.

It is a full peer: what it sends is wire format 1, what it is sent it obeys, and it knows the true answer to
every flip. What it does not imitate:

- a real radio set: every figure in `radios` is invented;
- the air: links lose single frames here (`dropout`), never for a while, and signal strength does not exist;
- a transmitter that reads a bouncing contact as open: its input remembers the first touch;
- mixers, filters and rates: a flip's answer comes in one or two steps, or glides (`ramp_ms`); the stick has one curve;
- a worn stick: it always goes from stop to stop, its potentiometer is straight and makes no contact noise, and what
  lags is play: no hysteresis that jumps, none that depends on how fast the stick is moved;
- samples of the stick that are older or newer as the scans happen to fall, unless it is asked to (`stick_age=scan`);
- a probe short of time: stamps are never late, never coarse, never folded or lost in a full buffer;
- the serial line: any baud rate is agreed to and none limits the bytes; damage comes only by `damage`;
- receivers' and servos' supply: the voltage lead shows a quiet pack, and nothing moves.

It shares no code with the parts it checks: how it makes pulses and what it knows to be true are worked out here
alone.
"""
