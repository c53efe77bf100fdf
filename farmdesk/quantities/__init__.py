"""Mass, temperature, money, days and weeks."""
