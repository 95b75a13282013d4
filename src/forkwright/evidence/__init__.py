"""What was measured: bench traces, leak-downs and ride logs; and fitting the hardware to them."""
