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
    "drop" | "across" => "Meter on its smallest DC volts, a tip on each test point of the fuse. Press both straight, hold three seconds still. Good: next to nothing, under 0.1 mV. Beware: tips over 4 mm short to the next fuse, one that slipped shows nothing. Never on airbags or high voltage.";
    "clamp" => "Zero the clamp beside the cable. Close it fully around that one cable, straight, near no other. Good: it stands still, and the same with the other sign when turned round. Beware: a second cable inside, jaws not quite shut, a magnet nearby.";
    "pull" => "Read the total, pull the fuse in one clean motion, read again after a minute, leave it out. Good: the total falls and stays down. Beware: never twice, never airbags or high voltage. If the total rises, it woke something: wait.";
    "refit" => "Put it back in one clean motion, wait until what it feeds sleeps again, then read the total. Good: as high as before the pull. Beware: a draw that stays away had a hung module behind it; that is no repair.";
    "unplug" => "Read the total, ignition off, unplug that one part by its lock, read again after a minute. Good: the total falls by what is too much. Beware: never a yellow or an orange plug. Pull at the plug, not at its wires.";
    "input" | "switch" => "Read the total, work the switch as the line says, leave it as it should stand, read again. Good: the total falls within minutes, once its modules sleep. Beware: a latch that is tripped stays tripped until you free it.";
    "step" => "Tips on the fuse, clamp on the load's cable. Switch a known load on it on and off within half a minute. Good: millivolts and current rise together and fall back. Beware: another load on the same fuse that starts meanwhile.";
    "look" => "Eyes, ears and a hand. A lamp that is lit, a relay that is warm, a pump that hums. Good: dark, cold and silent. Beware: a lid that switches a lamp. Shut it on a phone that films.";
    "report" => "Scan tool on the diagnosis plug, key as it says. Read what stands open, who is awake, who woke the others. Good: all shut and asleep. Beware: the tool keeps modules awake. Take it out, then wait again.";
    "out" | "left out" => "Total asleep, pull the fuse, leave it out while the meter logs, count the wake-ups, put it back. Good: as many came as were due; then the fuse is sound. Beware: the pull itself wakes things: count from when it sleeps again. Never airbags or high voltage.";
    "temp" | "temperature" => "Hold a thermometer to the fuse box, lid off, a minute long. Good: about that of the air. Beware: a box beside a warm engine. Its fuses read 13 % high at 60 °C.";
    "volts" => "Both tips at the battery posts, not on the clamps, nothing switched on. Good: 12.4 to 12.8 V for 12 V after hours of rest. Beware: after a charge or a drive it shows too much. Lower by 0.1 V than before: read the total again.";
    "watch" => "Totals read while waiting, some minutes apart, without touching the vehicle. Good: each a little lower, then the same for ten minutes. Beware: a door, a key or a phone near it starts the wait again.";
    "charging volts" | "running" => "Both tips at the battery posts, engine at a fast idle or the vehicle ready, lights and blower on. Good: 13.7 to 14.6 V with a plain regulator, 12.2 to 15.5 V where the engine computer sets it. Beware: belts, fans, exhaust gas, a vehicle that moves by itself.";
    "below" => "A fuse read along a row that showed less than this. Tips on its test points as for any drop. Good: it stays below. Beware: tips that slipped show nothing. What is below counts as under so much, never as nothing.";
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
