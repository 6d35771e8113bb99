"""The ledger: numbers, snapshots, crashes, tampering."""
