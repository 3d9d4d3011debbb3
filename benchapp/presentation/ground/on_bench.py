"""What is on the bench: the one question of *Make it safe*, its answers, and what a session says of them."""

from collections.abc import Mapping

from benchapp.procedures.gate import OnBench, SafetyLine

QUESTION = "What is on the bench?"
ANSWERS: Mapping[OnBench, str] = {
    OnBench.SERVOS: "Receiver and servos only",
    OnBench.NO_PROPELLER: "Model without propeller or rotor",
    OnBench.MOTOR: "Model whose motor can turn",
    OnBench.COMBUSTION: "Combustion engine",
}
SAID: Mapping[OnBench, str] = {
    OnBench.SERVOS: "receiver and servos only; nothing that drives a motor was connected",
    OnBench.NO_PROPELLER: "a model without propeller or rotor",
    OnBench.MOTOR: "a model whose motor could turn",
    OnBench.COMBUSTION: "something with combustion",
}
"""The same, as a session tells it afterwards."""
ANSWER_FIRST = "Say first what is on the bench: that decides what has to be confirmed."
ON_BENCH_HELP = (
    "what is on a real bench, which decides the safety lines: servos (receiver and servos only), no-propeller (a model "
    "without propeller or rotor), motor (a model whose motor can turn), combustion; asked at a terminal, every line "
    "where nobody says"
)


def bench_told(answers: Mapping[str, str]) -> str:
    """Return what was said to be on the bench, by the safety answers of a session; "" where nobody said."""
    answer = answers.get(SafetyLine.ON_BENCH.value, "")
    return next((words for key, words in SAID.items() if key.value == answer), "")
