// One list to look at: a plate of the harbour-side lunch room.
export const EXAMPLE = `Smoked fish chowder plate
Serves 4

Chowder:
40 g butter
1 leek, sliced
2 celery stalks, chopped
half a celeriac (about 200 g), peeled
1 litre fish stock
500 g smoked haddock, skinned
200 ml double cream
1 bay leaf
a small bunch of parsley
black pepper, to taste

Seed crackers:
150 g linseed, half of it ground
100 g sunflower seeds
75 g pumpkin seeds
50 g sesame seeds
2 tbsp psyllium husk
1 egg white
1 tsp sea salt

Harbour salad:
100 g lamb’s lettuce
half a cucumber
6 radishes

+ Lemon dressing:
3 tbsp olive oil
juice of ½ lemon

+ Toppings:
60 g walnuts, toasted
4 slices smoked salmon
4 tbsp soured cream
60 g pickled herring
2 tbsp prepared horseradish
1 tbsp capers, drained
a few sprigs of dill
Serve while the crackers still snap.
`;
