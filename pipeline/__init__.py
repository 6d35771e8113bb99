"""The host: reads files, calls the stages in order, keeps the ledger, writes the result. No trade rules."""
