from brazesoak.errors import Fault, JobFileError


def test_a_message_that_names_its_place_is_not_told_the_place_twice() -> None:
    faults = [Fault(4, 'joint "j"', 'joint "j": too deep'), Fault(7, 'joint "j"', "depth is too large")]
    assert str(JobFileError("a.toml", faults)).splitlines() == [
        'a.toml:4: joint "j": too deep',
        'a.toml:7: joint "j": depth is too large',
    ]
