"""What a user could pick instead, each written as well as we know how.

Every peer module has ``run(case, ..., clock)``, which returns a `Run`; `clock` is called after every step and
raises `OutOfTimeError` when the peer's time is used up. `contenders` says how each is set.
"""
