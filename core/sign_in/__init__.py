"""Getting in: log-ins and where they are, passkeys, the second factor, passwords, notices."""
