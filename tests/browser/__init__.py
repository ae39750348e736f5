"""The HTML report in a headless browser, with the rules of axe-core."""
