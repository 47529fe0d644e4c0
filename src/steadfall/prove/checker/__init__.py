"""What the second solver is asked, written from the network: nothing of the formula that the prover asks of
(`prove.system.step`), nor of its printer.
"""
