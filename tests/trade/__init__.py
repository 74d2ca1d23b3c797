"""The trade: farms, goods, freight, statics, holding."""
