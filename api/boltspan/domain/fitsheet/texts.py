"""Every code that a fit sheet says, with its text. Common practice in our own words, no source."""

from __future__ import annotations

from typing import Final

VERDICTS: Final = {
    "buy": "Buy a kit of the size given, for this shock's eyelet.",
    "move": "Move the old hardware over to the new shock.",
    "keep": "Keep the hardware that is in the shock.",
    "none_needed": "No mounting hardware is needed at this end.",
    "ask_frame_maker": "Ask the frame's maker before buying or fitting anything.",
    "incompatible": "This shock does not go into this end. Do not fit it.",
    "not_known": "Not known. Buy nothing for this end before the missing fact is found.",
    "disputed": "Sources or readings contradict each other. Buy nothing for this end before that is cleared.",
}
REASONS: Final = {
    "end_disputed": "The sources on this end contradict each other and nobody has decided yet.",
    "end_unknown": "There is not enough evidence on this end. Measure the opening between the tabs and the bolt.",
    "end_withheld": "A maintainer has put this end on hold.",
    "readings_against_chart": "The readings and the size they are held against cannot both be right, and neither is "
    "sure enough. What to measure next stands beside the reading.",
    "hardware_where_none_belongs": "Hardware is said to have been in this end, and yet the end is said to take none. "
    "One of the two is of another end or frame: look at the frame.",
    "readings_not_enough": "The readings do not decide bolt and width. Measure a second feature of each.",
    "readings_too_coarse": "A width is not chosen by so coarse a reading: neighbouring widths lie nearer together. "
    "Measure with a caliper.",
    "size_by_readings": "The size comes from the readings taken on this bike, not from the chart.",
    "size_stated_by_asker": "The size is as stated in the question; no record stands behind it.",
    "mount_not_stated": "The sources give a size without saying how the end is mounted. Look at the frame.",
    "shock_not_named": "No shock was named. Its eyelets decide bushing and spacers.",
    "shock_end_not_known": "Nothing is known about this end of the shock.",
    "shock_end_disputed": "The sources on this end of the shock contradict each other. Measure its eyelet.",
    "hardware_in_the_box": "The shock is sold for this frame with the hardware of this end in its box.",
    "eyelet_bore_not_known": "The bore of the shock's eyelet is not known. Older shocks may have one of their own: "
    "measure it before fetching a bushing.",
    "eyelet_bore_differs": "The shock's eyelet has another bore than the frame's bolt needs.",
    "eyelet_wider_than_opening": "The shock's eyelet is wider than the room between the tabs.",
    "bolt_too_large_for_eyelet": "The frame's bolt is too large for this eyelet: there is no room for a sleeve.",
    "no_size_goes_in": "No size that is made goes into the opening without being far too small. Ask for a made one.",
    "differs_from_old_shock": "The frame's shock size is not known, and this shock differs from the old one.",
    "old_hardware_worn": "The old hardware is worn.",
    "old_hardware_stays": "The old hardware stays in the old shock, so that shocks can be changed quickly; the new one "
    "gets its own.",
    "old_hardware_differs": "The old hardware is not of the size this end needs.",
    "old_hardware_too_wide": "The old hardware is wider than this end takes. Do not use it again.",
    "old_bore_differs": "The old hardware is for an eyelet of another bore.",
    "old_eyelet_width_differs": "The old hardware is for an eyelet of another width: its spacers do not fill the room "
    "beside this one.",
    "old_bore_not_known": "The bore that the old hardware is for is not known. Should it prove the same, the hardware "
    "can be moved.",
    "other_end_incompatible": "This holds for this end alone: the shock does not go into the frame's other end, so buy "
    "and fit nothing for it.",
    "mount_disputed": "Which kind of mount this is, no reading of bolt or width can settle. Look at the frame, or ask "
    "its maker.",
    "bearing_comes_out": "The shock's bearing must come out and give way to a bushing.",
    "smaller_size_made": "Nobody is known to make the size that is needed; the next slightly smaller one serves.",
}
CAUTIONS: Final = {
    "shock_size_not_listed": "The shock's record lists other sizes only. Look at what is printed on the shock.",
    "shock_size_not_compared": "Length and stroke were not compared with the frame's, since one of them is not known. "
    "A longer stroke can break the frame: ask its maker.",
    "try_by_hand_first": "By the reading this size may or may not go in. Try by hand; never push or spread.",
    "kit_style_assumed": "Nothing was said about how the kit is made; the usual style is shown. Count what lies in the "
    "box.",
    "measured_on_this_bike_only": "The size rests on the readings of this bike alone. Try the hardware between the "
    "tabs by hand before the bolt goes in.",
    "eyelet_widths_not_compared": "The width of one of the two eyelets is not known. Compare them before the hardware "
    "is moved: spacers for a narrower eyelet make the whole too wide.",
    "little_room_beside_eyelet": "Beside the eyelet is hardly room for a spacer, and none for an O-ring: see how "
    "the kit is made.",
    "bushing_not_reused": "A bushing that was pressed out is not pressed in again.",
}
TRUST: Final = {
    "reading_looks_like_a_mistake": "Trust the chart: by a usual mistake its size gives just this reading. Measure "
    "again to be sure.",
    "stated_size_by_mistake": "Trust the size that was stated: by a usual mistake it gives just this reading. Measure "
    "again to be sure.",
    "opening_reads_smaller": "Trust the reading: it is of this very frame, and the larger size would have to be forced "
    "in. Read the opening again at several places: when a tab is bent or burred, ask the frame's maker. Send the "
    "reading in.",
    "bolt_of_the_frame": "Trust the reading: it is of this very frame's bolt. See that the bolt has no play in the "
    "frame's holes, or else it is a wrong one itself. Send the reading in.",
    "reading_is_of_old_hardware": "Trust the chart, which is settled: old hardware may have been a substitute or "
    "wrong. To be sure before you buy, measure the frame itself: the opening between its tabs, and its bolt.",
    "old_hardware_only": "Trust neither yet: old hardware may have been a substitute or wrong, and the size it is held "
    "against is not settled. Measure the frame itself with a caliper: the opening between its tabs, and its bolt.",
    "opening_reads_larger": "Trust neither yet. The reading may go over the outsides of the tabs, or the size may be "
    "of another year or variant. Measure between the inner faces of the tabs again, and the thickness of a tab; look "
    "at year and variant. Fit nothing wider than the smaller of the two.",
    "bolt_not_decided": "Trust neither yet: the reading is neither of the bolt that was named nor of another for sure. "
    "Measure over the crests of its thread, its plain shank, and the bore of the old sleeve.",
    "coarse_instrument": "Trust neither yet: the difference is more than the coarseness of the reading explains. "
    "Measure the same again with a caliper.",
    "mistake_of_another_size": "Trust neither yet: the reading looks like a usual mistake, but put right it is not of "
    "the size that was named either. Measure again as advised.",
}
STEPS: Final = {
    "support_the_bike": "Support the bike so that neither it nor the rear swings when the shock comes out.",
    "release_the_spring": "Release the air as the shock's maker says, or back off the preload of a coil.",
    "note_the_order": "Take a photo of both ends and note the order of all parts and which way the bolt goes.",
    "undo_frame_bolt": "Undo the frame's bolt and draw it out without hammering on its thread.",
    "undo_trunnion_bolts": "Undo the trunnion bolts on both sides and keep their washers with them.",
    "lift_shock_out": "With both ends free, lift the shock out; do not let the rear hang on it.",
    "pull_spacers_off": "Pull the spacers off by hand, with a soft-jawed pair of pliers at most.",
    "pull_halves_apart": "Pull the two halves apart by hand, one to each side.",
    "take_o_rings_off": "Take the O-rings off and look for cuts.",
    "push_sleeve_out": "Push the sleeve out by hand or with a rod of its own size.",
    "look_for_wear": "Look for wear: play of the sleeve in its bushing, and bare metal once it is out.",
    "press_metal_bushing_out": "Put the catch tool against the eyelet's rim and the push tool on the bushing, in one "
    "line, and press the bushing out slowly.",
    "take_polymer_bushing_out": "Pull the polymer bushing out by its flanges with the fingers; warm water loosens a "
    "tight one.",
    "press_bearing_out": "Press the bearing out on its outer ring, into a catch tool on the eyelet's rim.",
    "bushing_in_eyelet_first": "See whether a bushing sits in the shock's eyelet already. One that is not of this kit "
    "comes out first, by the next step; without one, go on.",
    "clean_and_inspect_eyelet": "Clean the eyelet and look at it in good light: no crack, no burr, round.",
    "press_metal_bushing_in": "Start the new bushing square with the fingers, then press it in one go until it is "
    "flush; dry, unless its maker says otherwise.",
    "put_polymer_bushing_in": "Push the polymer halves in by hand, a flange to each side; no tool, no solvent.",
    "slide_sleeve_in": "Slide the sleeve in; it turns by hand without play.",
    "lay_o_rings_on": "Lay an O-ring on each side against the eyelet.",
    "push_spacers_on": "Push a spacer on at each side, the same length left and right.",
    "push_spacers_with_rings_on": "Push a spacer on at each side with its built-in O-ring to the eyelet.",
    "crush_washers_outward": "Lay a crush washer on each spacer, its raised side outward, to the tab.",
    "join_halves": "Push one half in from each side until they meet inside the eyelet.",
    "put_shock_in": "With both ends ready, put the shock between the tabs as on the photo or as the "
    "frame's maker shows, hoses clear.",
    "try_between_tabs": "Try the width between the tabs by hand. It slips in; nothing is pushed, nothing spread.",
    "bolt_by_makers_values": "Put the frame's bolt in and tighten it by the frame maker's value, with thread-lock as "
    "it says.",
    "trunnion_bolts_by_makers_values": "Put the trunnion bolts with their washers in and tighten them by the frame "
    "maker's value.",
    "full_travel": "With both ends bolted, the spring out or the air released, move the rear through its full travel "
    "and turn the bars.",
    "set_pressure_again": "Set the pressure or the preload again.",
}
NOT_IN_KIT: Final = {
    "frame_bolts": "The frame's bolts and their nuts: the frame's maker has them.",
    "trunnion_bolts_and_washers": "Trunnion bolts and their washers: the frame's maker has them.",
    "bearing": "The bearing in the eyelet: the shock's maker has it.",
    "thread_lock_and_grease": "Thread-lock and grease, as the makers name them.",
}
NEVER: Final = {
    "narrower_than_eyelet": "Narrower than the shock's eyelet: the tabs would clamp the eyelet itself.",
    "wider_than_needed": "Wider than this end's size: it would have to be forced between the tabs.",
    "wider_than_read": "Wider than the opening was read, whatever its name says.",
}
AT_HAND: Final = {
    "same_size": "The size needed.",
    "size_down": "Slightly smaller; it serves, with some side play.",
    "try_by_hand": "By the reading it may or may not go in; try by hand only.",
}
NOT_READ: Final = {
    "no_size": "The label is of no hardware that has a bolt and a width; such a part is not chosen by size.",
}
QUESTIONS: Final = {
    "which_way_up": "Which end of the shock is at the frame's first end, the body or the shaft?",
    "which_shock": "Which shock goes in? Its eyelets decide bushing and spacers.",
    "which_shock_size": "What are the shock's eye-to-eye length and stroke?",
    "which_frame_shock_size": "Which eye-to-eye length and stroke does the frame take?",
    "which_eyelet_bore": "What is the bore of the shock's eyelet at this end, without its bushing?",
    "which_eyelet_width": "How wide is the shock's eyelet at this end, along the bolt?",
    "which_eyelet_outer": "What is the outside diameter of the shock's eyelet at this end?",
    "which_sleeve_outer": "What is the outside diameter of the sleeve, or the bore of its bushing?",
}
