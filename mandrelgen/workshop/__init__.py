"""What happens at a machine: turning, receipt, printing."""
