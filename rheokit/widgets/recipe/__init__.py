"""From the batch to the dry part: recipe and water, shape, drying."""
