"""Papers: from a frozen release, or the stand as it is, to sheets of plain blocks; from those to PDF and plain text."""
