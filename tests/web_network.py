"""Pages behind the guard of an invented house's network, as tests reach them."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from fastapi import FastAPI
from starlette.testclient import TestClient

from sugarwright.web.app import build
from sugarwright.web.guard import HouseNetwork, Network, Ports
from sugarwright.web.guard.authority import kept_authority
from sugarwright.web.guard.passphrase import Cost
from sugarwright.web.guard.passphrases import Passphrases
from sugarwright.web.guard.sessions import Sessions
from sugarwright.web.guard.tries import Tries
from sugarwright.web.shed import Shed

DEMO = Path(__file__).parents[1] / "src" / "sugarwright" / "demo" / "sugarhouse.toml"
HOUSE, HELPER = "wagon cabin glass elk tablet", "kettle moss lantern oak raven"
NAME = "kitchen.local"
QUICK = Cost(n=2, r=8, p=1)  # tests are about who gets in, not about how long a try takes


@dataclass
class Clock:
    """A clock that stands until it is moved."""

    now_s: float = 1_800_000_000.0

    def __call__(self) -> float:
        return self.now_s


@dataclass
class Lan:
    """A served folder, and whoever asks from the network."""

    folder: Path
    clock: Clock = field(default_factory=Clock)

    def __post_init__(self) -> None:
        for name in ("sugarhouse.toml", "weather.csv"):
            (self.folder / name).write_bytes((DEMO.parent / name).read_bytes())
        kept = Passphrases(self.folder, QUICK)
        kept.set("house", HOUSE)
        kept.set("log", HELPER)
        self.start()

    def start(self) -> None:
        """Start the application, as after a start of the computer."""
        self.network = Network(
            kept_authority(self.folder, "Invented Hollow", (NAME,)),
            (NAME,),
            Ports(8471, 8470),
            Passphrases(self.folder, QUICK),
            Sessions(self.folder, self.clock),
            Tries(self.clock),
        )
        self.shed = Shed(str(self.folder), plans=False)
        self.app: FastAPI = build(self.shed, HouseNetwork(self.network))

    def stop(self) -> None:
        """Stop it."""
        self.shed.close()

    def phone(
        self,
        passphrase: str = "",
        scheme: str = "http",
        address: str = "192.168.1.30",
        host: str = NAME,
    ) -> TestClient:
        """Return a phone, signed in if it knows a passphrase."""
        port = {"http": 8470, "https": 8471}[scheme]
        client = TestClient(
            self.app,
            base_url=f"{scheme}://{host}:{port}",
            client=(address, 50000),
            follow_redirects=False,
            headers={"accept": "text/html"},
        )
        if passphrase:
            assert client.post("/login", data={"passphrase": passphrase}).status_code == 303
        return client


def token_in(client: TestClient) -> str:
    """Return the token that the pages of a phone hold."""
    return str(client.get("/session").json()["csrf"])
