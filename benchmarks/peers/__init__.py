"""What a user could pick instead, each written as well as we know how.

Every peer module has ``run(case, setting, clock) -> Run``; `setting` is its time step [s] or its tolerance, and
`clock` raises `OutOfTimeError` when the peer's time is used up.
"""
