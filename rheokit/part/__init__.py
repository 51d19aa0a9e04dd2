"""What becomes of the paste: the job to print, the fresh line and wall, drying, and the size when dry."""
