//! The stages of a hunt and the readings: what the hands do, what good looks like, what to beware of.

super::explained! {
    "interview" => "What the customer tells. Ask how long it stands until it is flat, what was added, worked on or wet, and what is left plugged in.";
    "caution" => "What can hurt you or the vehicle, a page before the work it belongs to. Read it, then type yes. It is shown once.";
    "found" => "The total as found. If a clamp reaches a battery cable without opening anything, read it first. A hung module may restart at the first door.";
    "battery" => "Is it good, and how full? A worn battery goes flat by itself. A flat one makes every draw read too low.";
    "charging" => "A vehicle that isn't charged goes flat without any draw. Read the volts with the engine running.";
    "use" => "How it is driven. Short trips put back less than standing and starting take, and a battery goes flat without any fault.";
    "prepare" => "Open all that you will need, trip the latches, lay the leads, key away. Then nothing has to be moved later.";
    "hook-up" | "hook up" => "Connect meter and clamp, short the leads for the zero, read the temperature at the fuses.";
    "settle" | "wait" => "Wait until every module sleeps: mostly half an hour, on some vehicles two. Touch nothing. It is over once the draw is flat for ten minutes.";
    "trail" | "search" => "One reading after another, each the one that tells most for its minutes. Any other reading may be typed instead.";
    "narrow" => "From the circuit to the part: look, scan tool, plugs, switches. Nothing is unplugged before a look could tell.";
    "repair" => "Say what you replaced or mended, in words. Then everything that is out goes back, all at once.";
    "prove" => "Work the cause again, wait as before, read the same total the same way. Within the limit, the repair is proved.";
    "handover" | "hand over" => "Tick off what goes back, charge the battery, print the record.";
    "drop" | "across" => "Meter on its smallest DC volts. One tip on each test point of the fuse, pressed straight, three seconds still. Under a tenth of a millivolt is nothing. Never on fuses of airbags or high voltage.";
    "clamp" => "Zero the clamp beside the cable. Close it fully around that one cable, hold it straight, wait until it stands still. Turn it round and read again if in doubt.";
    "pull" => "Read the total. Pull the fuse in one clean motion, never twice. Read again after a minute. Leave it out until it is asked back.";
    "refit" => "Put it back in one clean motion. What it feeds wakes up: wait until it sleeps, then read.";
    "unplug" => "Read the total. Unplug that one part, ignition off. Read again after a minute. Never a yellow or an orange plug.";
    "input" | "switch" => "Read the total. Work the switch as the line says, and leave it as it should stand. Its modules need minutes to fall asleep: the fall comes late.";
    "step" => "Switch a known load on this fuse on and off within half a minute. Millivolts without and with it, and its current, give the fuse its own resistance.";
    "look" => "Eyes, ears and a hand. A lamp that is lit, a relay that is warm, a pump that hums. Hold a camera in if you must shut it.";
    "report" => "What the vehicle says of itself on a scan tool: a door that is open though it is shut, a module awake, how often one woke the others.";
    "temp" | "temperature" => "Hold a thermometer to the fuse box. A hot box makes fuses read high: 13 % at 60 °C.";
    "volts" => "At the battery posts, nothing switched. A tenth of a volt lower than before: read the total again.";
    "watch" => "Totals read while waiting. A few, minutes apart, show whether the draw is flat.";
    "others" => "One value for all other fuses of the box that you really probed: others 0.0.";
    "vehicle" | "identity" => "Plate, VIN, order, odometer, technician. Type what the work order has; each may stay empty.";
    "note" => "A remark for the record. It changes nothing.";
    "strike" => "Takes one entry out, with the reason. It stays in the file.";
    "back" | "undo" => "Takes the last answer back, whole, and asks it again.";
    "skip" => "Passes over one question. Say why: the record keeps it.";
    "why" => "Type it at any question: who leads and why, what is next and why.";
    "all" => "Type it at any question: every suspect, a line each.";
    "list" => "Type it at any question: what is in the log so far.";
    "quit" => "Leaves the hunt. Everything is kept; fusetrail hunt LOG goes on where it was.";
}
