"""Why a plan is as it is: loads, waits, the chain behind each tier's last day, what a little more is worth.

Read from the timing of a schedule that is finished; nothing here decides anything.
"""
