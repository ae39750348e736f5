"""Go/no-go trials to statistics: at which level do igniters light, and how sure is that?"""
