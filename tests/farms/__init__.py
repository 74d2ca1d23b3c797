"""What tests are made of: farms made by hand and at random, workbooks, cells."""
