"""The mouth of evenfire: text that people wrote becomes frozen plant values, or one clear message says why not."""
