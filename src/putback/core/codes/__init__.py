"""One idea: a code is what a module says about itself, so what it did not say, or could not test, stays unknown.

Pure functions over bytes and text: what two- and three-byte codes, status bytes, answers to services, readiness, live
values, monitor results and vehicle numbers mean. Bytes that cannot be read are values (`Wrong`), never exceptions, and
what stands before the fault is kept.
"""
