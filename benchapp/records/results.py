"""What every named test's conclusion has in common, so that a run's findings can hold any of them."""


class Result:
    """What one named test concludes of one run: each test has a record of its own that is one of these.

    Nobody asks which one it is: what differs from test to test is asked of the test (`records.named_tests`).
    """

    __slots__ = ()
