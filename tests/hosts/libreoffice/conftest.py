"""Programs in this folder that run inside LibreOffice's own Python are no tests."""

collect_ignore = ["calc_driver.py"]
