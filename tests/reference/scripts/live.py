"""Live meters that nobody here wrote: PyPI `sinstruments` serves a socket and a serial line (a pseudo-terminal),
PyPI `pyvisa-sim` answers the SCPI on them from the description below. `watch` must write down what they show, and a
hunt must take its readings from them into its log. Fails if anything differs, or if nothing was compared.
"""
import pathlib
import socket
import subprocess
import sys
import tempfile
import threading
import time

import gevent.monkey

gevent.monkey.patch_all()

import pyvisa  # noqa: E402
import yaml  # noqa: E402
from sinstruments.simulator import BaseDevice, SerialServer, TCPServer  # noqa: E402

PROGRAM = pathlib.Path(sys.argv[1]).resolve()
METER = """
spec: "1.0"
devices:
  multimeter:
    eom:
      TCPIP SOCKET: {q: "\\n", r: "\\n"}
    error: ERROR
    dialogues:
      - {q: "*IDN?", r: "INVENTED,MULTIMETER,1,0"}
    properties:
      current:
        default: 0.0604
        getter: {q: "MEAS:CURR:DC?", r: "{:+.8E}"}
        setter: {q: "SIM:CURR {:.9E}", r: "OK"}
        specs: {type: float}
      voltage:
        default: 0.0001
        getter: {q: "MEAS:VOLT:DC?", r: "{:+.8E}"}
        setter: {q: "SIM:VOLT {:.9E}", r: "OK"}
        specs: {type: float}
resources:
  TCPIP0::multimeter::5025::SOCKET: {device: multimeter}
"""
ANSWERS = """
battery.volts: 12.6 V
battery.test: good
charging.known: good
hook-up.method: clamp
hook-up.temperature: 18 C
settle.wait: skip no time for it
total.volts: 12.6 V
trail.reading: ['', quit]
'caution.*': 'yes'
'*': ''
"""
compared = 0
failures = []


class Multimeter(BaseDevice):
    """Hands each line to the simulated instrument."""

    instrument = None

    def handle_message(self, message):
        text = message.decode().strip()
        return (self.instrument.query(text) + "\n").encode() if text else None


def check(right, what):
    global compared
    compared += 1
    if not right:
        failures.append(what)


def run(folder, *arguments, code=0):
    done = subprocess.run([PROGRAM, *arguments], cwd=folder, stdin=subprocess.DEVNULL, capture_output=True, timeout=120)
    check(done.returncode == code, f"{arguments} ended {done.returncode}: {done.stderr.decode()[-600:]}")
    return done.stdout.decode()


def serve(folder):
    """Starts a meter on a socket and one on a serial line; returns their names."""
    description = pathlib.Path(folder, "meter.yaml")
    description.write_text(METER)
    manager = pyvisa.ResourceManager(f"{description}@sim")
    Multimeter.instrument = manager.open_resource(
        "TCPIP0::multimeter::5025::SOCKET", read_termination="\n", write_termination="\n"
    )

    def protocol(channel, transport):
        device = Multimeter("multimeter")
        return device.get_protocol(channel, transport)

    tcp = TCPServer("multimeter", protocol, url=("127.0.0.1", 0))
    tcp.start()
    serial = SerialServer("multimeter", protocol, url=str(pathlib.Path(folder, "port")), baudrate=9600)
    threading.Thread(target=serial.serve_forever, daemon=True).start()
    return tcp.server_port, f"serial:{folder}/port@9600,scpi"


def tell(port, command):
    with socket.create_connection(("127.0.0.1", port)) as line:
        line.sendall(command.encode() + b"\n")
        line.recv(100)


def cells(folder, name):
    lines = pathlib.Path(folder, name).read_text().splitlines()
    check(lines[0] == "time,current (mA)", f"{name} begins {lines[0]}")
    return [line.split(",")[1] for line in lines[1:]]


def main():
    with tempfile.TemporaryDirectory() as folder:
        port, serial = serve(folder)
        scpi = f"scpi://127.0.0.1:{port}"
        for name, meter in (("socket.csv", scpi), ("serial.csv", serial)):
            run(folder, "watch", "--meter", meter, "--to", name, "--for", "4s")
            found = cells(folder, name)
            check(len(found) >= 4 and set(found) == {"60.400000"}, f"{name}: {found}")
        later = threading.Timer(2.0, tell, (port, "SIM:CURR 9.9E37"))
        later.start()
        run(folder, "watch", "--meter", scpi, "--to", "over.csv", "--for", "5s")
        found = cells(folder, "over.csv")
        check("60.400000" in found and found[-1] == "OL", f"over.csv: {found}")
        tell(port, "SIM:CURR 6.04E-02")
        pathlib.Path(folder, "answers.yaml").write_text(ANSWERS)
        run(folder, "hunt", "x.hunt.yaml", "--map", "hatch", "--answers", "answers.yaml", "--meter-from", serial,
            "--clamp-from", scpi)
        entries = yaml.safe_load(pathlib.Path(folder, "x.hunt.yaml").read_text())
        totals = [entry["current"] for entry in entries if entry["entry"] == "total"]
        zeros = [entry["offset"] for entry in entries if entry["entry"] == "zero"]
        check(totals and totals[-1]["typed"] == "60 mA" and totals[-1]["value"] == 0.06, f"totals {totals}")
        check(zeros and zeros[-1]["typed"] == "0.1 mV", f"zeros {zeros}")
    for failure in failures:
        print(failure)
    print(f"live meters: {compared} compared, {len(failures)} failures")
    return 1 if failures or compared < 10 else 0


if __name__ == "__main__":
    sys.exit(main())
