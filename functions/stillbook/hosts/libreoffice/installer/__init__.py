"""The part of the installing extension that runs inside LibreOffice; like ``stillbook_calc`` it needs nothing else."""
