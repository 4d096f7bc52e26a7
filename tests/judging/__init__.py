"""The proof of the judging: sane and faulty pens with expected answers, and the table of both."""
