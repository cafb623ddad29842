"""Files in: tables of orders read row by row, mapped by the maker, every bad row kept aside with its reason."""
