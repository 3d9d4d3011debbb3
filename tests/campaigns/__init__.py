"""Campaigns against what must never be lost: each a script with a long form, and a short form among the tests.

    python -m tests.campaigns.kills --kills 1000
    python -m tests.campaigns.damage --copies 10000
    python -m tests.campaigns.powerloss --losses 1000
    python -m tests.campaigns.fuzz --seconds 3600

Each prints what it found, and ends with 1 where a promise did not hold. --seed gives another run of it; Ctrl+C ends one
and has it tell what it found so far. What the long forms last found stands in FIGURES.md, beside this.
"""
