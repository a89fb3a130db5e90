"""Fetches the sdist of diyepw 1.3.1 from the package registry with pip and unpacks two weather files into a folder.

Usage: fetch_epw.py FOLDER. Their hashes are those of the files the reference counts were taken from; the files are not kept.
"""

import hashlib
import subprocess
import sys
import tarfile
from pathlib import Path

FILES = {
    "USA_CA_Mount.Shasta.725957_TMYx.epw": "416602f23f63ba8561b20cbdab657353a545deab16028588eb3b17780c2631ad",
    "USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw": "5a4df710042b6f1d3a4e02d64b515f13a84c3ab4abd1d611ba0ade7875fe1377",
}

folder = Path(sys.argv[1])
command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--no-binary", "diyepw", "diyepw==1.3.1", "-d", str(folder)]
subprocess.run(command, check=True)
found = 0
with tarfile.open(next(folder.glob("diyepw-*.tar.gz"))) as archive:
    for member in archive.getmembers():
        name = member.name.rsplit("/", 1)[-1]
        if name in FILES:
            data = archive.extractfile(member).read()
            digest = hashlib.sha256(data).hexdigest()
            assert digest == FILES[name], f"{name}: sha256 {digest}"
            (folder / name).write_bytes(data)
            found += 1
assert found == len(FILES), f"{found} of {len(FILES)} weather files found"
print("fetched", found)
