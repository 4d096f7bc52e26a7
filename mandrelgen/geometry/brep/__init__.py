"""A part's boundary as plain data: what the kernel's solid and the STEP text are both made of."""
