"""Floor plans to and from CAD files: the writer and the reader, the only places that know the format's library."""
