"""hold-still as it is run."""

from benchapp.procedures.ground.run_part import RunPart
from benchapp.procedures.hold.procedure import begin

PART = RunPart(begin=begin)
