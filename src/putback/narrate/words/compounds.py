"""One idea: some words are verbs alone and the first part of a name before certain others: slide bolts, drain plug."""

from putback.narrate.words.lexicon import words_of

_BOLTED = words_of("bolt bolts nut nuts screw screws stud studs")
_CLIPPED = words_of("clip clips pin pins tab tabs")
_BUILT = words_of("plate plates panel cap bracket brackets housing assembly ring block")
_OF_A_LID = words_of("catch release prop stop hinge hinges bump pull")
_OF_A_GEARSHIFT = words_of(
    "cable cables lever fork knob boot gate rod linkage paddle shaft tower lock surround gaiter"
)
_FIRST: dict[str, frozenset[str]] = {
    "charge": words_of(
        "port ports flap cable cables door socket inlet lead leads lid plug pipe pipes cooler light lock connector"
    ),
    "spare": words_of("wheel key tyre tire fuse bulb"),
    "shift": _OF_A_GEARSHIFT,
    "prop": words_of("shaft shafts"),
    "reverse": words_of("light lights lamp lamps switch sensor sensors camera gear"),
    **dict.fromkeys(("hood", "bonnet", "boot", "trunk", "tailgate", "door", "flap"), _OF_A_LID),
    **dict.fromkeys(("engine", "gearbox", "radiator", "tank", "bumper", "console"), words_of("support supports")),
    "heat": words_of("shield shields exchanger pump sink wrap"),
    "oil": words_of("drain feed"),
    "cable": words_of("stop stops guide"),
    "gear": words_of("shift"),
    "slip": words_of("ring rings joint yoke"),
    "thrust": words_of("bearing bearings plate washer washers arm"),
    "tilt": words_of("motor lever switch"),
    "transfer": words_of("case pipe pump"),
    "twist": words_of("lock beam tab"),
    "work": words_of("light lights lamp"),
    "spray": words_of("nozzle nozzles jet jets"),
    "bump": words_of("stop stops"),
    "draw": words_of("bar"),
    "lever": words_of("arm"),
    "return": words_of("spring springs line lines hose hoses pipe pipes"),
    "slide": _BOLTED | _CLIPPED | words_of("hammer rail rails lock"),
    "clamp": _BOLTED | words_of("pad pads plate bracket"),
    "drain": words_of("plug plugs hose line pipe tube tap pan screw cock valve hole bolt tub bucket"),
    "fill": words_of("plug neck cap hole point pipe tube valve bolt"),
    "lock": words_of("nut nuts ring rings washer tab tabs pin pins bolt bolts plate collar cylinder barrel screw"),
    "guide": words_of("pin pins rod rods tube tubes bolt bolts rail rails sleeve sleeves"),
    "pinch": words_of("bolt bolts weld clamp clamps"),
    "release": words_of("lever cable screw handle bearing button tool bolt"),
    "knock": words_of("sensor sensors"),
    "crank": words_of("sensor pulley case shaft position bolt"),
    "drive": words_of("belt belts shaft shafts gear pulley plate chain flange pin end motor unit"),
    "dust": words_of("cap caps cover covers shield boot boots seal seals"),
    "splash": words_of("shield shields guard tray panel"),
    "bleed": words_of("screw screws nipple nipples valve valves port plug hose bolt"),
    "tie": words_of("rod rods bar bars wrap wraps strap straps plate"),
    "zip": words_of("tie ties"),
    "torque": words_of("rod rods arm arms link mount strut converter"),
    "tape": words_of("measure measures"),
    "brake": words_of("cleaner"),
    "check": words_of("valve valves strap straps arm link ball engine"),
    "drop": words_of("link links arm"),
    "roll": words_of("pin pins bar bars"),
    "snap": words_of("ring rings"),
    "set": words_of("screw screws"),
    "push": words_of("pin pins rod rods clip clips fit rivet rivets button fasteners fastener"),
    "pull": words_of("handle handles cord strap tab pocket cup"),
    "grab": words_of("handle handles rail"),
    "swing": words_of("arm arms"),
    "hinge": words_of("pin pins bolt bolts plate bracket cover"),
    "cover": _BOLTED | _BUILT | words_of("clips seal gasket trim"),
    "seal": words_of("face faces seat land groove ring rings plate carrier retainer housing lip"),
    "mount": _BOLTED | words_of("bracket brackets plate arm"),
    "coil": words_of("pack packs spring springs wire connector connectors plug"),
    "turn": words_of("signal signals"),
    "jack": words_of("point points stand stands pad"),
    "lift": words_of("pump gate pin strut struts eye bracket point points"),
    "test": words_of("port lead leads light lamp point points plug drive"),
    "switch": words_of("panel pack plate block cluster"),
    "strip": words_of("light lights"),
    "catch": words_of("can tank pan bolt bolts plate tray"),
    "feed": words_of("line lines pipe pipes hose cable wire"),
    "spring": words_of("clamp clamps clip clips seat seats plate perch"),
    "tension": words_of("spring pulley arm"),
    "position": words_of("sensor sensors switch lamp"),
    "brush": words_of("holder holders plate card guard"),
    "run": words_of("channel channels"),
    "crush": words_of("washer washers ring tube"),
    "plug": words_of("wire wires lead leads cap caps well wells cover connector"),
    "hook": words_of("bolt bolts"),
    "cap": words_of("screw screws bolt bolts nut nuts"),
    "hold": words_of("down downs"),
    "start": words_of("relay button switch motor"),
    "clip": words_of("ring"),
    "back": words_of("plate panel seat seats box light"),
    "seat": _OF_A_LID
    | words_of("switch lever back base belt belts bolt bolts frame rail rails cushion squab track tracks cover motor"),
    "press": words_of("fit"),
    "blow": words_of("off"),
    "throw": words_of("out"),
    "top": words_of("hose cover mount plate panel bolt bolts nut nuts screw screws hat cap pipe clamp clip clips"),
    "lower": words_of("arm arms hose cover panel mount bolt bolts nut nuts grille cowl screw screws clamp clip clips"),
    "guard": words_of("liner liners rail panel bolts"),
    "block": words_of("connector connectors"),
    "pop": words_of("rivet rivets"),
    "scan": words_of("tool"),
    "wash": words_of("bottle jet pump"),
    "support": words_of("bracket brackets arm bar bolt bolts strut rod leg"),
    "adjust": words_of("screw screws"),
    "shear": words_of("bolt bolts"),
    "flex": words_of("plate pipe hose joint"),
    "split": words_of("pin pins"),
    "reveal": words_of("trim"),
    "face": words_of("plate"),
    "mounting": words_of("face faces bracket brackets plate plates bolt bolts nut nuts lug lugs pad pads point"),
    "wear": words_of("sensor sensors indicator pad pads lead leads wire wires cable plug strip ring"),
}


def is_compound(first: str, following: str) -> bool:
    """Whether two words make one name.

    >>> is_compound("slide", "bolts"), is_compound("slide", "cover")
    (True, False)
    """
    return following in _FIRST.get(first, ())
