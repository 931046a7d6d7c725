"""Air for the people inside: airflow, CO2, heat, moisture."""
