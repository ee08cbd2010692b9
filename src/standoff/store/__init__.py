"""The store: jobs as append-only revisions in a database. It moves plain records and knows nothing of geometry."""
