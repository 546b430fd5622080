"""What a hire firm or a promoter is asked for, what they offered, and what came."""
