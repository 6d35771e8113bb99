"""The watched folder: orders are dropped into a shop's inbox, and nothing of them is lost, whatever happens.

One cycle: `scan` what lies there; `settle` what is complete; `claim` it by a rename; `intake` checks it, prices it
and has the ledger keep it; `outcome` puts the file aside. Then `lead` has the `week` planned as it stands, and
closed when `policy` says so.

    service.py   the cycle, and the three kinds of failure     lead.py     plan, close, show: one watcher does it
    layout.py    the folders, and whose the inbox is           week.py     what is planned and closed, by a process
    scan.py      candidates, in turn                           worker.py   that process
    settle.py    which of them are complete                    policy.py   when the week is closed
    claim.py     a file taken out; claims of the dead          board.py    how the folder stands
    intake.py    one file at the door                          backoff.py  how long to wait after a failure
    acknowledge.py  what its sender is told                    clock.py lock.py log.py fault.py
    outcome.py   done and rejected                             commands.py for the command line

At least once: whatever was begun is done again after a crash. Exactly once: the ledger keeps a claim once and gives a
job one number, and what is written again is the same.
"""
