"""Runs a program once for each file of a folder and prints what each run took.

    measure.py PROGRAM FOLDER HARD_SECONDS JOBS

One line a file: name, exit status (minus the signal if one ended it), seconds of processor time, peak memory in KiB. The processor time and
the peak come from the kernel's accounts of the finished process (wait4). A run that uses more than HARD_SECONDS of processor time is ended,
which shows as a signal.
"""
import os
import resource
import subprocess
import sys


def start(program, path, hard):
    limit = lambda: resource.setrlimit(resource.RLIMIT_CPU, (hard, hard))
    quiet = subprocess.DEVNULL
    return subprocess.Popen([program, "inspect", path], stdin=quiet, stdout=quiet, stderr=quiet, preexec_fn=limit)


def main():
    program, folder, hard, jobs = sys.argv[1], sys.argv[2], int(sys.argv[3]), int(sys.argv[4])
    waiting = sorted(os.listdir(folder), reverse=True)
    running = {}
    while waiting or running:
        while waiting and len(running) < jobs:
            name = waiting.pop()
            process = start(program, os.path.join(folder, name), hard)
            running[process.pid] = (name, process)
        pid, status, usage = os.wait4(-1, 0)
        if pid in running:
            name, process = running.pop(pid)
            # The process is reaped here; its handle must not wait again.
            process.returncode = os.waitstatus_to_exitcode(status)
            print(name, process.returncode, usage.ru_utime + usage.ru_stime, usage.ru_maxrss, sep="\t")


main()
